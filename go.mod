module clothwright

go 1.26

require (
	codeberg.org/go-pdf/fpdf v0.12.0 // indirect
	github.com/alecthomas/kong v1.17.0 // indirect
	github.com/go-fonts/dejavu v0.3.2 // indirect
	github.com/go-text/typesetting v0.3.5 // indirect
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/mitchellh/colorstring v0.0.0-20190213212951-d06e56a500db // indirect
	github.com/pelletier/go-toml/v2 v2.4.3 // indirect
	github.com/peterstace/simplefeatures v0.50.0 // indirect
	github.com/rivo/uniseg v0.4.7 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	github.com/schollz/progressbar/v3 v3.19.1 // indirect
	go.starlark.net v0.0.0-20260908191801-89a6a09411d5 // indirect
	golang.org/x/image v0.40.0 // indirect
	golang.org/x/sys v0.46.0 // indirect
	golang.org/x/term v0.44.0 // indirect
	golang.org/x/tools v0.30.0 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
	pgregory.net/rapid v1.3.0 // indirect
)
