package main

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"sort"
	"strings"

	"github.com/schollz/progressbar/v3"

	"clothwright/draft"
	"clothwright/garments"
	"clothwright/job"
	"clothwright/piece"
	"clothwright/tape"
)

type batchCommand struct {
	Bodies  string `arg:"" help:"The table of bodies (CSV): a header row of measure names, the first column id." placeholder:"BODIES.csv"`
	Garment string `required:"" help:"The garment's name, or the path of a script of your own."`
	Style   string `help:"A style file (TOML): the choices that a job file has under [style], with unit and house beside them." placeholder:"FILE"`
	Unit    string `default:"mm" enum:"mm,cm,in" help:"The unit of the table's lengths: ${enum}."`
	Out     string `required:"" help:"The folder to write batch.jsonl to." placeholder:"DIR"`
	Jobs    bool   `help:"Also write a folder with job.json for each row."`
	Quiet   bool   `short:"q" help:"No progress line."`
}

// Run drafts every row and writes a line for each.
func (c *batchCommand) Run(w *world) error {
	defer watchMemory(w)()
	b := job.Batch{File: c.Bodies, House: draft.Standard(), Workers: runtime.GOMAXPROCS(0)}
	b.Unit, _ = tape.ParseUnit(c.Unit)
	var err error
	if b.Garment, err = garmentNamed(c.Garment); err != nil {
		return err
	}
	if b.Style, _ = b.Garment.Style(nil, tape.Unit(0)); c.Style != "" {
		src, err := readFile(c.Style)
		if err != nil {
			return fmt.Errorf("the style file %s cannot be read: %s", c.Style, plain(err))
		}
		files := func(name string) ([]byte, error) { return readFile(filepath.Join(filepath.Dir(c.Style), name)) }
		if b.Style, b.House, err = job.ReadStyle(c.Style, src, b.Garment, files); err != nil {
			return sentences(err)
		}
	}
	table, err := openFile(c.Bodies)
	if err != nil {
		return fmt.Errorf("the table %s cannot be read: %s", c.Bodies, plain(err))
	}
	defer table.Close()
	if err := makeFolder(c.Out, 0o755); err != nil {
		return err
	}
	temp, err := os.CreateTemp(c.Out, ".batch.jsonl.*")
	if err != nil {
		return fmt.Errorf("the folder %s cannot be written to: %s", c.Out, plain(err))
	}
	defer os.Remove(temp.Name())
	defer temp.Close()
	buffered := bufio.NewWriter(temp)
	b.Line = func(line []byte) error { _, err := buffered.Write(line); return err }
	b.Note = func(text string) { fmt.Fprintln(w.err, text) }
	if c.Jobs {
		taken := map[string]bool{}
		b.Each = func(id string, r *job.Result) error {
			dir := folderName(id)
			if taken[dir] {
				fmt.Fprintf(w.err, "%s: %s: its folder %s is that of an earlier row, so its job.json is not written\n", c.Bodies, id, dir)
				w.code = 1
				return nil
			}
			taken[dir] = true
			record, err := r.JSON()
			if err != nil {
				return err
			}
			return writeAll(filepath.Join(c.Out, dir), []job.Output{{Name: "job.json", Bytes: record}})
		}
	}
	if !c.Quiet && isTerminal(w.err) {
		bar := progressbar.NewOptions(-1, progressbar.OptionSetWriter(w.err), progressbar.OptionSetDescription("drafting"), progressbar.OptionShowCount(), progressbar.OptionClearOnFinish(), progressbar.OptionThrottle(200e6))
		b.Done = func(int) { bar.Add(1) }
		defer bar.Finish()
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	tally, err := b.Run(ctx, table)
	if err != nil {
		return err
	}
	if err := buffered.Flush(); err != nil {
		return fmt.Errorf("%s cannot be written: %s", filepath.Join(c.Out, "batch.jsonl"), plain(err))
	}
	if err := temp.Chmod(0o644); err != nil {
		return fmt.Errorf("%s cannot be written: %s", filepath.Join(c.Out, "batch.jsonl"), plain(err))
	}
	if err := os.Rename(temp.Name(), filepath.Join(c.Out, "batch.jsonl")); err != nil {
		return fmt.Errorf("%s cannot be written: %s", filepath.Join(c.Out, "batch.jsonl"), plain(err))
	}
	fmt.Fprintf(w.out, "%d bodies: %d stop, %d warn, %d note, %d ok, %d could not be drafted\n",
		tally.Rows, tally.Levels[piece.Stop], tally.Levels[piece.Warn], tally.Levels[piece.Info], tally.Levels[piece.OK], tally.Failed)
	for _, code := range sortedCodes(tally.Needed) {
		fmt.Fprintf(w.out, "  %-20s %6d\n", strings.ReplaceAll(code, "_", " "), tally.Needed[code])
	}
	if tally.Failed > 0 {
		w.code = 1
	}
	return nil
}

func sortedCodes(m map[string]int) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	sort.Slice(out, func(i, j int) bool {
		if m[out[i]] != m[out[j]] {
			return m[out[i]] > m[out[j]]
		}
		return out[i] < out[j]
	})
	return out
}

// folderName makes a row's id safe as a folder's name.
func folderName(id string) string {
	id = strings.Map(func(r rune) rune {
		if r == '/' || r == '\\' || r == ':' || r < ' ' {
			return '_'
		}
		return r
	}, id)
	if strings.Trim(id, ".") == "" {
		return "_"
	}
	return id
}

// garmentNamed loads a built-in garment or a script of the maker's own.
func garmentNamed(name string) (*draft.Garment, error) {
	if src, ok := garments.Script(name); ok {
		return draft.Load(name, "garments/"+name+"/draft.star", src)
	}
	if !strings.HasSuffix(name, ".star") {
		return nil, fmt.Errorf("garment %q is not known; %s is allowed, or the path of a script of your own ending in .star", name, strings.Join(garments.Names(), ", "))
	}
	src, err := readFile(name)
	if err != nil {
		return nil, fmt.Errorf("the garment script %s cannot be read: %s", name, plain(err))
	}
	return draft.Load(strings.TrimSuffix(filepath.Base(name), ".star"), name, src)
}
