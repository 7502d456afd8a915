// Command packbench measures the packing engine on published instances: one run
// for each instance and seed, of which it notes the best utilisation at several
// instants, and writes the table between its markers in a Markdown file.
//
//	go run ./internal/packbench -seconds 10,60,300,600 -seeds 3 -data DIR
package main

import (
	"cmp"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"clothwright/lay/pack"
)

type settings struct {
	seconds []float64
	seeds   int
	workers int
	data    string
	only    []string
	out     string
}

func main() {
	seconds := flag.String("seconds", "10,60", "instants at which the utilisation is noted")
	seeds := flag.Int("seeds", 1, "runs of each instance, with seeds 1, 2, ...")
	workers := flag.Int("workers", 2, "goroutines that search")
	data := flag.String("data", "../shared/data/lay", "folder of instances")
	only := flag.String("only", "", "names of instances, by commas; all if empty")
	out := flag.String("out", "docs/bench.md", "file with the table; - for none")
	flag.Parse()
	s := settings{seeds: *seeds, workers: *workers, data: *data, out: *out}
	for _, field := range strings.Split(*seconds, ",") {
		v, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
		if err != nil || v <= 0 {
			fail(fmt.Errorf("-seconds: %q is not a number more than 0", field))
		}
		s.seconds = append(s.seconds, v)
	}
	slices.Sort(s.seconds)
	if *only != "" {
		s.only = strings.Split(*only, ",")
	}
	if err := s.run(); err != nil {
		fail(err)
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "packbench:", err)
	os.Exit(1)
}

// instance is one file of the data: a problem with what is published about it.
type instance struct {
	problem pack.Problem
	best    float64
	source  string
	runs    []run
}

// run is the utilisation in percent at each of the instants, and of the first lay.
type run struct {
	at    []float64
	first float64 // seconds until the first lay
}

func (s settings) run() error {
	all, err := s.instances()
	if err != nil {
		return err
	}
	for i := range all {
		for seed := 1; seed <= s.seeds; seed++ {
			r, err := s.measure(all[i].problem, uint64(seed))
			if err != nil {
				return fmt.Errorf("%s: %w", all[i].problem.Name, err)
			}
			all[i].runs = append(all[i].runs, r)
			fmt.Printf("%-10s seed %d  first lay %.3f s  %s  published %.2f\n", all[i].problem.Name, seed, r.first, percents(r.at), all[i].best)
		}
	}
	if s.out == "-" {
		return nil
	}
	return writeBetween(s.out, s.table(all))
}

func percents(list []float64) string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = fmt.Sprintf("%.2f", v)
	}
	return strings.Join(out, " ")
}

func (s settings) instances() ([]instance, error) {
	files, err := filepath.Glob(filepath.Join(s.data, "*.json"))
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("%s holds no instances", s.data)
	}
	var out []instance
	for _, name := range files {
		in, err := readInstance(name)
		if err != nil {
			return nil, err
		}
		if len(s.only) == 0 || slices.Contains(s.only, in.problem.Name) {
			out = append(out, in)
		}
	}
	slices.SortFunc(out, func(a, b instance) int { return cmp.Compare(a.problem.Name, b.problem.Name) })
	return out, nil
}

func readInstance(name string) (instance, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return instance{}, err
	}
	p, err := pack.ReadJSON(strings.NewReader(string(text)))
	if err != nil {
		return instance{}, fmt.Errorf("%s: %w", name, err)
	}
	var published struct {
		Best   float64 `json:"best_published_utilisation"`
		Source string  `json:"best_source"`
	}
	if err := json.Unmarshal(text, &published); err != nil {
		return instance{}, err
	}
	return instance{problem: p, best: published.Best, source: published.Source}, nil
}

// measure runs one search to the last instant. What stands at an instant is the
// best lay reported until then; the last one is what Solve returns, validated.
func (s settings) measure(p pack.Problem, seed uint64) (run, error) {
	r := run{at: make([]float64, len(s.seconds)), first: -1}
	start := time.Now()
	note := func(at, percent float64) {
		if r.first < 0 {
			r.first = at
		}
		for i, t := range s.seconds {
			if at <= t {
				r.at[i] = max(r.at[i], percent)
			}
		}
	}
	last := s.seconds[len(s.seconds)-1]
	l, err := pack.Solve(context.Background(), p, pack.Options{
		Seed: seed, Workers: s.workers, Now: time.Now, Time: time.Duration(last * float64(time.Second)),
		Progress: func(q pack.Progress) { note(time.Since(start).Seconds(), 100*q.Lay.Utilisation) },
	})
	r.at[len(r.at)-1] = 100 * l.Utilisation
	return r, err
}

const (
	opening = "<!-- packing table: written by internal/packbench -->"
	closing = "<!-- end of packing table -->"
)

func (s settings) table(all []instance) string {
	var b strings.Builder
	fmt.Fprintf(&b, "## Packing\n\nUtilisation in percent of width times length: mean and best of %d runs (seeds 1 to %d), %d workers, at several\n", s.seeds, s.seeds, s.workers)
	fmt.Fprintf(&b, "instants of one run each that was given %g s. Measured with %s on %s, %d processors.\n\n", s.seconds[len(s.seconds)-1], runtime.Version(), runtime.GOARCH, runtime.NumCPU())
	b.WriteString("| instance |")
	rule := "|---|"
	for _, t := range s.seconds {
		fmt.Fprintf(&b, " %g s mean | best |", t)
		rule += "---:|---:|"
	}
	b.WriteString(" best published | first lay, s |\n" + rule + "---:|---:|\n")
	sources := map[string][]string{}
	for _, in := range all {
		fmt.Fprintf(&b, "| %s |", in.problem.Name)
		first := 0.0
		for i := range s.seconds {
			sum, best := 0.0, 0.0
			for _, r := range in.runs {
				sum += r.at[i]
				best = max(best, r.at[i])
				first = max(first, r.first)
			}
			fmt.Fprintf(&b, " %.2f | %.2f |", sum/float64(len(in.runs)), best)
		}
		fmt.Fprintf(&b, " %.2f | %.2f |\n", in.best, first)
		sources[in.source] = append(sources[in.source], in.problem.Name)
	}
	b.WriteString("\nBest published:\n")
	keys := make([]string, 0, len(sources))
	for k := range sources {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		fmt.Fprintf(&b, "- %s: %s.\n", strings.Join(sources[k], ", "), k)
	}
	return b.String()
}

// writeBetween puts text between the markers of a file, or at its end with new
// markers, and leaves the rest as it is.
func writeBetween(name, text string) error {
	old, err := os.ReadFile(name)
	if err != nil && !os.IsNotExist(err) {
		return err
	}
	body := string(old)
	if body == "" {
		body = "# Measurements\n"
	}
	block := opening + "\n" + text + closing + "\n"
	from, to := strings.Index(body, opening), strings.Index(body, closing)
	if from >= 0 && to > from {
		body = body[:from] + block + strings.TrimPrefix(body[to+len(closing):], "\n")
	} else {
		body = strings.TrimRight(body, "\n") + "\n\n" + block
	}
	tmp := name + ".part"
	if err := os.WriteFile(tmp, []byte(body), 0o644); err != nil {
		return err
	}
	return os.Rename(tmp, name)
}
