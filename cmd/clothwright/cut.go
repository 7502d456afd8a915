package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"clothwright/job"
	"clothwright/mistake"
	"clothwright/piece"
)

type cutCommand struct {
	Job  string `arg:"" help:"The job file (TOML)." placeholder:"JOB.toml"`
	Out  string `required:"" help:"The folder to write to; it is made when it is not there." placeholder:"DIR"`
	Only bool   `help:"Write only the record, job.json, and no sheets."`
}

// Run drafts the job and writes all its files, or none.
func (c *cutCommand) Run(w *world) error {
	defer watchMemory(w)()
	result, err := cutFile(c.Job)
	if err != nil {
		return err
	}
	files, err := result.Files(c.Only)
	if err != nil {
		return err
	}
	if err := writeAll(c.Out, files); err != nil {
		return err
	}
	tell(w, result, c.Out, files)
	w.code = result.ExitCode()
	return nil
}

// cutFile reads, drafts and trues a job file.
func cutFile(path string) (*job.Result, error) {
	src, err := readFile(path)
	if err != nil {
		return nil, fmt.Errorf("the job file %s cannot be read: %s", path, plain(err))
	}
	j, err := job.Read(path, src, filesBeside(path))
	if err != nil {
		return nil, sentences(err)
	}
	r, err := j.Cut()
	if err != nil {
		return nil, sentences(err)
	}
	return r, nil
}

// filesBeside reads what a job file names, from the job file's own folder.
func filesBeside(path string) job.Files {
	return func(name string) ([]byte, error) {
		if !filepath.IsAbs(name) {
			name = filepath.Join(filepath.Dir(path), name)
		}
		return readFile(name)
	}
}

// sentences prints problems one a line behind the same word.
func sentences(err error) error {
	if ps, ok := mistake.In(err); ok {
		return errors.New(strings.ReplaceAll(ps.Error(), "\n", "\nerror: "))
	}
	return err
}

// plain is what the system says of a file, without the call and the path in front.
func plain(err error) string { return mistake.System(err) }

// tell prints what was done and what the maker should know.
func tell(w *world, r *job.Result, dir string, files []job.Output) {
	counts := map[piece.Level]int{}
	for _, f := range r.Findings {
		counts[f.Level]++
		if f.Level != piece.Info {
			fmt.Fprintf(w.out, "%s: %s (%s)\n", f.Level, f.Text, f.Code)
		}
	}
	what := fmt.Sprintf("%s: %d pieces, %d seams", r.Job.Number, len(r.Pattern.Pieces), len(r.Pattern.Seams))
	if r.Job.Client != "" {
		what = r.Job.Client + ", " + what
	}
	fmt.Fprintln(w.out, what)
	fmt.Fprintf(w.out, "%d stop, %d warn, %d note\n", counts[piece.Stop], counts[piece.Warn], counts[piece.Info])
	if r.Level == piece.Stop {
		fmt.Fprintln(w.out, "DO NOT CUT: every sheet says why.")
	}
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = f.Name
	}
	fmt.Fprintf(w.out, "written to %s: %s\n", dir, strings.Join(names, ", "))
}
