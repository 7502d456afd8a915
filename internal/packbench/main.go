// Command packbench measures the packing engine on published instances: one run
// for each instance and seed, of which it notes the best utilisation at several
// instants, and writes the table between its markers in a Markdown file.
//
//	go run ./internal/packbench -seconds 10,60,300,600 -seeds 3 -data DIR
//
// That is hours. Each finished run is therefore kept as a line of a file, and a
// later call goes on where this one ended; -anew begins again, as is right when
// the engine has changed.
//
// A second is a second of all the workers' processors: the time that the process
// spent on them, divided by the number of workers. On an idle machine this is the
// time on the wall; on a busy one the search is not charged for what others took.
package main

import (
	"cmp"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"clothwright/internal/marked"
	"clothwright/internal/spent"
	"clothwright/lay/pack"
)

type settings struct {
	seconds []float64
	seeds   int
	workers int
	data    string
	only    []string
	out     string
	runs    string

	all []instance // every instance of the data
}

func main() {
	seconds := flag.String("seconds", "10,60", "instants at which the utilisation is noted")
	seeds := flag.Int("seeds", 1, "runs of each instance, with seeds 1, 2, ...")
	workers := flag.Int("workers", 2, "goroutines that search")
	data := flag.String("data", "../shared/data/lay", "folder of instances")
	only := flag.String("only", "", "names of instances, by commas; all if empty")
	out := flag.String("out", "docs/bench.md", "file with the table; - for none")
	runs := flag.String("runs", "internal/packbench/runs.jsonl", "file in which finished runs are kept")
	anew := flag.Bool("anew", false, "throw kept runs away first")
	flag.Parse()
	s := settings{seeds: *seeds, workers: *workers, data: *data, out: *out, runs: *runs}
	if *anew {
		if err := os.Remove(*runs); err != nil && !os.IsNotExist(err) {
			fail(err)
		}
	}
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
}

// run is what is kept of one search.
type run struct {
	Instance string    `json:"instance"`
	Seed     int       `json:"seed"`
	Workers  int       `json:"workers"`
	Seconds  []float64 `json:"seconds"` // the instants
	Percent  []float64 `json:"percent"` // the best utilisation at each
	First    float64   `json:"first"`   // seconds until the first lay
	Machine  string    `json:"machine"`
}

// of reports whether the run answers for an instance and a seed under these settings.
func (r run) of(instance string, seed int, s settings) bool {
	return r.Instance == instance && r.Seed == seed && r.Workers == s.workers && slices.Equal(r.Seconds, s.seconds)
}

// kept reads the runs that are kept.
func (s settings) kept() ([]run, error) {
	text, err := os.ReadFile(s.runs)
	if os.IsNotExist(err) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []run
	for i, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		var r run
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			return nil, fmt.Errorf("%s, line %d: %w", s.runs, i+1, err)
		}
		out = append(out, r)
	}
	return out, nil
}

// keep adds a finished run to those that are kept.
func (s settings) keep(r run) error {
	line, err := json.Marshal(r)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(s.runs, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	if _, err := f.Write(append(line, '\n')); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

func (s settings) run() error {
	var err error
	if s.all, err = s.instances(); err != nil {
		return err
	}
	all := slices.DeleteFunc(slices.Clone(s.all), func(in instance) bool { return len(s.only) > 0 && !slices.Contains(s.only, in.problem.Name) })
	kept, err := s.kept()
	if err != nil {
		return err
	}
	write := func(string) error { return nil }
	if s.out != "-" {
		place, err := marked.Find(s.out, "packing table", "internal/packbench")
		if err != nil {
			return err
		}
		write = place.Write
	}
	// Seeds come before instances, so that a call that was cut short has measured every instance equally often.
	for seed := 1; seed <= s.seeds; seed++ {
		for i := range all {
			name := all[i].problem.Name
			at := slices.IndexFunc(kept, func(r run) bool { return r.of(name, seed, s) })
			if at < 0 {
				r, err := s.measure(all[i].problem, seed)
				if err != nil {
					return fmt.Errorf("%s: %w", name, err)
				}
				if err := s.keep(r); err != nil {
					return err
				}
				kept, at = append(kept, r), len(kept)
			}
			r := kept[at]
			fmt.Printf("%-10s seed %d  first lay %.3f s  %s  published %.2f\n", name, seed, r.First, percents(r.Percent), all[i].best)
		}
		if err := write(s.tables(kept)); err != nil {
			return err
		}
	}
	return nil
}

// tables has a table for each kind of run that is kept, the longest first: what a long search has found at an early instant is not
// what a short one ends with, nor what one worker finds a part of what two find.
func (s settings) tables(kept []run) string {
	kinds := []settings{}
	for _, r := range kept {
		if !slices.ContainsFunc(kinds, func(k settings) bool { return k.workers == r.Workers && slices.Equal(k.seconds, r.Seconds) }) {
			kind := s
			kind.workers, kind.seconds = r.Workers, r.Seconds
			kinds = append(kinds, kind)
		}
	}
	longest := func(k settings) float64 { return k.seconds[len(k.seconds)-1] }
	slices.SortFunc(kinds, func(a, b settings) int {
		return cmp.Or(cmp.Compare(longest(b), longest(a)), cmp.Compare(b.workers, a.workers), slices.Compare(a.seconds, b.seconds))
	})
	var b strings.Builder
	b.WriteString("## Packing\n\nUtilisation in percent of width times length: mean and best of the runs of each instance, at several instants of runs as\n")
	b.WriteString("long as the last of them. A second is one of the workers' processors, so that other work on the machine takes nothing\n")
	b.WriteString("from the search.\n")
	published := map[string][]string{}
	for _, k := range kinds {
		fmt.Fprintf(&b, "\n%g seconds, %s:\n", longest(k), workersOf(k.workers))
		k.table(&b, kept, published)
	}
	b.WriteString("\nBest published:\n")
	for _, k := range slices.Sorted(maps.Keys(published)) {
		fmt.Fprintf(&b, "- %s: %s.\n", strings.Join(published[k], ", "), k)
	}
	return b.String()
}

func workersOf(n int) string {
	if n == 1 {
		return "one worker"
	}
	return fmt.Sprintf("%d workers", n)
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
		out = append(out, in)
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
func (s settings) measure(p pack.Problem, seed int) (run, error) {
	r := run{
		Instance: p.Name, Seed: seed, Workers: s.workers, Seconds: s.seconds, Percent: make([]float64, len(s.seconds)), First: -1,
		Machine: fmt.Sprintf("%s %s, %d processors", runtime.Version(), runtime.GOARCH, runtime.NumCPU()),
	}
	now := spent.Clock(s.workers)
	start := now()
	note := func(at, percent float64) {
		if r.First < 0 {
			r.First = at
		}
		for i, t := range s.seconds {
			if at <= t {
				r.Percent[i] = max(r.Percent[i], percent)
			}
		}
	}
	last := s.seconds[len(s.seconds)-1]
	l, err := pack.Solve(context.Background(), p, pack.Options{
		Seed: uint64(seed), Workers: s.workers, Now: now, Time: time.Duration(last * float64(time.Second)),
		Progress: func(q pack.Progress) { note(now().Sub(start).Seconds(), 100*q.Lay.Utilisation) },
	})
	r.Percent[len(r.Percent)-1] = 100 * l.Utilisation
	return r, err
}

// table writes the runs of one length, and notes by source whose published best it shows.
func (s settings) table(b *strings.Builder, kept []run, published map[string][]string) {
	rule := "|---|---:|"
	b.WriteString("\n| instance | runs |")
	for _, t := range s.seconds {
		fmt.Fprintf(b, " %g s mean | best |", t)
		rule += "---:|---:|"
	}
	b.WriteString(" best published | first lay, s |\n" + rule + "---:|---:|\n")
	var machines []string
	for _, in := range s.all {
		sum, best, n, first := make([]float64, len(s.seconds)), make([]float64, len(s.seconds)), 0, 0.0
		for _, r := range kept {
			if !r.of(in.problem.Name, r.Seed, s) {
				continue
			}
			for i, v := range r.Percent {
				sum[i] += v
				best[i] = max(best[i], v)
			}
			n, first = n+1, max(first, r.First)
			if !slices.Contains(machines, r.Machine) {
				machines = append(machines, r.Machine)
			}
		}
		if n == 0 {
			continue
		}
		fmt.Fprintf(b, "| %s | %d |", in.problem.Name, n)
		for i := range sum {
			fmt.Fprintf(b, " %.2f | %.2f |", sum[i]/float64(n), best[i])
		}
		fmt.Fprintf(b, " %.2f | %.2f |\n", in.best, first)
		if !slices.Contains(published[in.source], in.problem.Name) {
			published[in.source] = append(published[in.source], in.problem.Name)
		}
	}
	fmt.Fprintf(b, "\nMeasured with %s.\n", strings.Join(machines, "; "))
}
