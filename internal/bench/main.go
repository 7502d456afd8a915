// Command bench runs the benchmarks that are kept beside the code and writes their figures into docs/bench.md, with
// what is aimed at beside those that have an aim. Figures of one run on one machine: compare them as ratios within
// the run, not with another day's.
//
//	go run ./internal/bench
package main

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"clothwright/internal/marked"
)

// aims are what the figures should stay under.
var aims = map[string]string{
	"job.BenchmarkDraftAndTrue": "5 ms and 5 MB",
	"job.BenchmarkWholeCut":     "1 s",
	"job.BenchmarkBatch":        "20 s for 2,000 bodies: 10 ms a body on 2 cores",
}

func main() {
	docs := flag.String("docs", "docs/bench.md", "page to write into, between its marks")
	packages := flag.String("packages", "./tape,./curve/...,./piece,./draft,./truing,./body,./job,./sheet/...", "packages to run, with commas between")
	only := flag.String("only", "", "\"benchmarks\", \"growth\" or \"jackets\", all when not given")
	flag.Parse()
	for _, part := range []struct {
		name    string
		measure func() error
	}{
		{"benchmarks", func() error { return run(*docs, strings.Split(*packages, ",")) }},
		{"growth", func() error { return growth(*docs) }},
		{"jackets", func() error { return jackets(*docs) }},
	} {
		if *only != "" && *only != part.name {
			continue
		}
		if err := part.measure(); err != nil {
			fmt.Fprintln(os.Stderr, "error:", err)
			os.Exit(1)
		}
	}
}

// growth writes how the parts of the search for a lay grow with the number of pieces.
func growth(docs string) error {
	place, err := marked.Find(docs, "growth of a lay", "internal/bench")
	if err != nil {
		return err
	}
	const pkg = "./lay/pack"
	out, err := exec.Command("go", "test", "-run", "^$", "-bench", "Growth", "-benchtime", "1s", pkg).CombinedOutput()
	if err != nil {
		return fmt.Errorf("go test %s: %v\n%s", pkg, err, out)
	}
	values := map[string]map[string]string{} // by part and number
	var numbers []string
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		f := strings.Fields(s.Text())
		if len(f) < 4 {
			continue
		}
		name, ok := strings.CutPrefix(f[0], "BenchmarkGrowth/")
		if !ok {
			continue
		}
		name, _, _ = strings.Cut(name, "-")
		values[name] = map[string]string{}
		for i := 2; i+1 < len(f); i += 2 {
			values[name][f[i+1]] = f[i]
		}
		if _, n, _ := strings.Cut(name, "/"); !slices.Contains(numbers, n) {
			numbers = append(numbers, n)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s/%s, on one processor. Times are of the processor, so that they do not grow with what else the machine does.\n\n", runtime.Version(), runtime.GOOS, runtime.GOARCH)
	b.WriteString("| pieces | full lay on shelves | its memory | lay from corner to corner | its memory | a pass | moves in it | a move |\n|---:|---:|---:|---:|---:|---:|---:|---:|\n")
	for _, n := range numbers {
		pass, moves := number(values["pass/"+n]["processor-ns/op"]), number(values["pass/"+n]["moves/op"])
		each := ""
		if moves > 0 {
			each = duration(fmt.Sprint(pass / moves))
		}
		time := func(part string) string { return duration(values[part+"/"+n]["processor-ns/op"]) }
		memory := func(part string) string { return size(values[part+"/"+n]["B/op"]) }
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s | %.0f | %s |\n", n, time("shelves"), memory("shelves"), time("first"), memory("first"), time("pass"), moves, each)
	}
	return place.Write(b.String())
}

func number(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

func run(docs string, packages []string) error {
	place, err := marked.Find(docs, "benchmarks", "internal/bench")
	if err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s/%s, GOMAXPROCS %d.\n\n| benchmark | a turn | memory | allocations | aim |\n|---|---:|---:|---:|---|\n", runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.GOMAXPROCS(0))
	for _, p := range packages {
		out, err := exec.Command("go", "test", "-run", "^$", "-bench", ".", "-benchmem", "-benchtime", "1s", p).CombinedOutput()
		if err != nil {
			return fmt.Errorf("go test %s: %v\n%s", p, err, out)
		}
		table(&b, out)
	}
	return place.Write(b.String())
}

// table turns the lines of `go test -bench` into rows.
func table(b *strings.Builder, out []byte) {
	pkg := ""
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		if p, ok := strings.CutPrefix(s.Text(), "pkg: clothwright/"); ok {
			pkg = p
		}
		f := strings.Fields(s.Text())
		if len(f) < 4 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		name, _, _ := strings.Cut(f[0], "-")
		values := map[string]string{}
		for i := 2; i+1 < len(f); i += 2 {
			values[f[i+1]] = f[i]
		}
		fmt.Fprintf(b, "| %s %s | %s | %s | %s | %s |\n", pkg, strings.TrimPrefix(name, "Benchmark"), duration(values["ns/op"]), size(values["B/op"]), values["allocs/op"], aims[pkg+"."+name])
	}
}

func duration(ns string) string {
	v, err := strconv.ParseFloat(ns, 64)
	switch {
	case err != nil:
		return ""
	case v < 1e3:
		return fmt.Sprintf("%.3g ns", v)
	case v < 1e6:
		return fmt.Sprintf("%.3g µs", v/1e3)
	case v < 1e9:
		return fmt.Sprintf("%.3g ms", v/1e6)
	}
	return fmt.Sprintf("%.3g s", v/1e9)
}

func size(bytes string) string {
	v, err := strconv.ParseFloat(bytes, 64)
	switch {
	case err != nil:
		return ""
	case v < 1e3:
		return fmt.Sprintf("%.0f B", v)
	case v < 1e6:
		return fmt.Sprintf("%.3g kB", v/1e3)
	}
	return fmt.Sprintf("%.3g MB", v/1e6)
}
