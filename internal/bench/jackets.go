package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"clothwright/internal/marked"
	"clothwright/internal/spent"
	"clothwright/job"
	"clothwright/lay"
	"clothwright/piece"
)

// Of a jacket's own shell a short search should find what a long one does, or nearly.
const (
	shortSearch = 2 * time.Second
	longSearch  = 60 * time.Second
	searchers   = 1
)

func timed(d time.Duration) lay.Options {
	return lay.Options{Seed: 1, Time: d, Now: spent.Clock(searchers), Workers: searchers}
}

// jackets lays the shells of the example jobs on their house's cloth, folded and open, as long as a cut does, for two seconds and for a minute.
func jackets(docs string) error {
	place, err := marked.Find(docs, "lays of jackets", "internal/bench")
	if err != nil {
		return err
	}
	names, err := filepath.Glob("examples/saltmarsh/*.toml")
	if err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s/%s, %d worker; a second is one of its processor.\n\n", runtime.Version(), runtime.GOOS, runtime.GOARCH, searchers)
	b.WriteString("| jacket | laid | as cut, mm | 2 s, mm | 60 s, mm | 2 s over 60 s |\n|---|---|---:|---:|---:|---:|\n")
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if !strings.Contains(string(src), "[measures]") { // a house or a list of prices
			continue
		}
		beside := func(file string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(name), file)) }
		j, err := job.Read(name, src, beside)
		if err != nil {
			return err
		}
		r, err := j.Cut()
		if err != nil {
			return err
		}
		cloth, ok := r.Cloth(piece.Shell)
		if !ok {
			return fmt.Errorf("%s: its house has no shell cloth", name)
		}
		for _, cloth.Fold = range []lay.Fold{lay.Lengthwise, lay.Open} {
			var mm [3]float64
			for i, o := range []lay.Options{{}, timed(shortSearch), timed(longSearch)} {
				plan, err := lay.Lay(context.Background(), []lay.Work{{Job: j.Number, Pattern: r.Pattern}}, cloth, o)
				if err != nil {
					return err
				}
				if !plan.Laid() {
					return fmt.Errorf("%s: its shell cannot be laid %s", name, cloth.Fold)
				}
				mm[i] = plan.Length
			}
			row := fmt.Sprintf("| %s | %s | %.0f | %.0f | %.0f | %.1f %% |\n", strings.TrimSuffix(filepath.Base(name), ".toml"), cloth.Fold, mm[0], mm[1], mm[2], math.Round(1000*(mm[1]/mm[2]-1))/10+0)
			fmt.Print(row)
			b.WriteString(row)
		}
	}
	return place.Write(b.String())
}
