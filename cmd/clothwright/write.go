package main

import (
	"fmt"
	"os"
	"path/filepath"

	"clothwright/job"
)

// writeAll writes files into a folder, making it when needed. Each is written whole under another name first;
// only when all are there do they take their own names, so a reader never sees half a file.
func writeAll(dir string, files []job.Output) error { return writeAs(dir, files, 0o755, 0o644) }

// writeOwn is writeAll for what comes out of the book: measures, names and prices, which their owner alone may read.
func writeOwn(dir string, files []job.Output) error { return writeAs(dir, files, 0o700, 0o600) }

func writeAs(dir string, files []job.Output, folder, file os.FileMode) (err error) {
	if err := makeFolder(dir, folder); err != nil {
		return err
	}
	// A name that a folder has could not be taken once others are written.
	for _, f := range files {
		to := filepath.Join(dir, f.Name)
		if info, err := os.Stat(to); err == nil && info.IsDir() {
			return fmt.Errorf("%s cannot be written: it is a folder", to)
		}
	}
	var temps []string
	defer func() {
		for _, t := range temps {
			os.Remove(t)
		}
	}()
	for _, f := range files {
		t, err := os.CreateTemp(dir, "."+f.Name+".*")
		if err != nil {
			return fmt.Errorf("the folder %s cannot be written to: %s", dir, plain(err))
		}
		temps = append(temps, t.Name())
		_, err = t.Write(f.Bytes)
		if e := t.Chmod(file); err == nil {
			err = e
		}
		if e := t.Close(); err == nil {
			err = e
		}
		if err != nil {
			return fmt.Errorf("%s cannot be written: %s", filepath.Join(dir, f.Name), plain(err))
		}
	}
	for i, f := range files {
		to := filepath.Join(dir, f.Name)
		if err := os.Rename(temps[i], to); err != nil {
			return fmt.Errorf("%s cannot be written: %s", to, plain(err))
		}
	}
	return nil
}
