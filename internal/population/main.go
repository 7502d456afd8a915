// Command population computes the figures by which measures are doubted and estimated, from a table of measured people,
// and writes them into the source of package body. With -docs it also tries them on people held out and writes what came of
// it into the page about measures.
//
//	go run ./internal/population -data ../shared/data/bodies.csv
package main

import (
	"flag"
	"fmt"
	"os"

	"clothwright/internal/population/fit"
)

func main() {
	data := flag.String("data", "../shared/data/bodies.csv", "table of measured people, millimetres")
	out := flag.String("out", "body/population.go", "Go source to write; nothing is written when empty")
	docs := flag.String("docs", "", "page to write the held-out figures into, such as docs/measures.md")
	flag.Parse()
	if err := run(*data, *out, *docs); err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

func run(data, out, docs string) error {
	f, err := os.Open(data)
	if err != nil {
		return fmt.Errorf("the table of people cannot be opened: %w", err)
	}
	defer f.Close()
	people, err := fit.Read(f)
	if err != nil {
		return err
	}
	if out != "" {
		source, err := generate(fit.Of(people, surveySource))
		if err != nil {
			return err
		}
		if err := replace(out, source); err != nil {
			return err
		}
	}
	if docs != "" {
		return report(docs, people)
	}
	return nil
}

// replace writes a file whole: under another name first.
func replace(name string, text []byte) error {
	if err := os.WriteFile(name+".new", text, 0o644); err != nil {
		return err
	}
	return os.Rename(name+".new", name)
}
