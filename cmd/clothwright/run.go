package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"clothwright/body"
	"clothwright/job"
)

type runCommand struct {
	Job   string   `arg:"" help:"The job file (TOML); it names a size_table." placeholder:"JOB.toml"`
	Sizes []string `help:"The sizes, with commas between; all of the table when none is named." placeholder:"S,M,L"`
	Out   string   `required:"" help:"The folder to write to: a folder a size, and nest.pdf." placeholder:"DIR"`
	Only  bool     `help:"Write only the records and the nest, and no sheets."`
}

// Run drafts every size; nothing is written unless all of them can be drafted.
func (c *runCommand) Run(w *world) error {
	defer watchMemory(w)()
	src, err := readFile(c.Job)
	if err != nil {
		return fmt.Errorf("the job file %s cannot be read: %s", c.Job, plain(err))
	}
	files := filesBeside(c.Job)
	first, err := job.Read(c.Job, src, files)
	if err != nil {
		return sentences(err)
	}
	sizes, err := sizesOf(first, c.Sizes)
	if err != nil {
		return err
	}
	var run []*job.Result
	for _, size := range sizes {
		j, err := first.Sized(src, size, files)
		if err != nil {
			return sentences(err)
		}
		r, err := j.Cut()
		if err != nil {
			return sentences(err)
		}
		run = append(run, r)
	}
	for _, r := range run {
		out, err := r.Files(c.Only)
		if err != nil {
			return err
		}
		dir := filepath.Join(c.Out, folderName(r.Job.Size))
		if err := writeAll(dir, out); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "size %s: ", r.Job.Size)
		tell(w, r, dir, out)
		w.code = max(w.code, r.ExitCode())
	}
	stack, err := job.Nest(run)
	if err != nil {
		return err
	}
	return writeAll(c.Out, stack)
}

// sizesOf is the sizes to draft: those asked for, or all of the job's table.
func sizesOf(j *job.Job, asked []string) ([]string, error) {
	if j.Table == "" {
		return nil, fmt.Errorf("%s: the job names no size_table, so there are no sizes to draft it in", j.File)
	}
	var all, out []string
	for _, t := range body.Tables {
		if strings.EqualFold(t.Name, j.Table) {
			for _, r := range t.Rows {
				all = append(all, r.Size)
			}
		}
	}
	for _, size := range asked {
		switch size = strings.TrimSpace(size); {
		case slices.ContainsFunc(out, func(s string) bool { return strings.EqualFold(s, size) }):
			return nil, fmt.Errorf("--sizes names %s twice", size)
		case size == "":
			return nil, fmt.Errorf("--sizes has nothing between two commas; of %s are wanted", strings.Join(all, ", "))
		}
		out = append(out, size)
	}
	if len(out) == 0 {
		return all, nil
	}
	return out, nil
}

type sizesCommand struct{}

// Run lists the tables with their sources.
func (sizesCommand) Run(w *world) error {
	for _, t := range body.Tables {
		var sizes []string
		for _, r := range t.Rows {
			sizes = append(sizes, r.Size)
		}
		fmt.Fprintf(w.out, "%s\n  sizes: %s\n  source: %s\n", t.Name, strings.Join(sizes, ", "), t.Source)
	}
	return nil
}
