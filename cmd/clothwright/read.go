package main

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"

	"clothwright/mistake"
)

// readFile reads a file that a person wrote, whole or up to a byte more than is taken, by which its reader sees that it is too much:
// a file may have no end, as /dev/zero has none.
func readFile(path string) ([]byte, error) {
	f, err := openFile(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, mistake.Most+1))
}

// openFile opens a file for reading; a folder is refused here, so that its sentence is the system's and not a parser's.
func openFile(path string) (*os.File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, &fs.PathError{Op: "open", Path: path, Err: syscall.EISDIR}
	}
	return f, nil
}

// makeFolder makes the folder that a command writes to.
func makeFolder(dir string, mode os.FileMode) error {
	if dir == "" {
		return fmt.Errorf("the folder to write to has no name; a dot is the folder you are in")
	}
	if err := os.MkdirAll(dir, mode); err != nil {
		return fmt.Errorf("the folder %s cannot be made: %s", dir, plain(err))
	}
	return nil
}

// isTerminal says whether somebody watches what is written there; a progress line is for them alone.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
