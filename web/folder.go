package web

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/pelletier/go-toml/v2"

	"clothwright/job"
	"clothwright/mistake"
)

// Folder is a store that is a folder of job files: ID.toml is the job, which `clothwright cut` reads too, and ID.json beside it
// is how far the work has come. Files are written whole and only their owner may read them. Other files in the folder
// are left alone.
type Folder struct {
	root *os.Root
	jobs locks // held while a job is changed

	mu       sync.Mutex         // held for the fields below, and never while a file is written
	known    map[string]listing // by ID, what the list has read; nil before it was asked for
	swept    time.Time          // when other programs' changes were last looked for
	sweeping sync.Mutex         // held while they are
}

// OpenFolder opens a folder of jobs, making it when it is not there.
func OpenFolder(dir string) (*Folder, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the folder %s cannot be made: %s", dir, mistake.System(err))
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("the folder %s cannot be opened: %w", dir, err)
	}
	return &Folder{root: root}, nil
}

// Close closes the folder.
func (f *Folder) Close() error { return f.root.Close() }

// locks are a lock for every job, by ID: two jobs may be written at once, one job may not.
type locks struct {
	mu   sync.Mutex
	held map[string]*sync.Mutex
}

// hold waits for the lock of a name and returns what lets it go.
func (l *locks) hold(name string) (release func()) {
	l.mu.Lock()
	if l.held == nil {
		l.held = map[string]*sync.Mutex{}
	}
	one := l.held[name]
	if one == nil {
		one = &sync.Mutex{}
		l.held[name] = one
	}
	l.mu.Unlock()
	one.Lock()
	return one.Unlock
}

// jobFile is a job file as the folder writes it.
type jobFile struct {
	Format   int            `toml:"format"`
	Job      string         `toml:"job,omitempty"`
	Client   string         `toml:"client,omitempty"`
	Date     string         `toml:"date,omitempty"`
	Note     string         `toml:"note,omitempty"`
	Demo     string         `toml:"demo,omitempty"`
	Garment  string         `toml:"garment"`
	Figure   string         `toml:"figure,omitempty"`
	Age      float64        `toml:"age,omitempty"`
	Unit     string         `toml:"unit"`
	House    string         `toml:"house,omitempty"`
	Measures map[string]any `toml:"measures,omitempty"`
	Left     map[string]any `toml:"left,omitempty"`
	Right    map[string]any `toml:"right,omitempty"`
	Style    map[string]any `toml:"style,omitempty"`
}

// houses are the house files of the two units: an inch room keeps the standard house unless it has a house.toml.
const (
	houseInch = "house.toml"
	houseCM   = "house-cm.toml"
)

// metricHouse is written for a room that works in centimetres and has no house file yet.
const metricHouse = `# A room that works in centimetres. Change what is done otherwise here; docs/files.md lists what there is.
format = 1
tape = "5 mm"
unit = "cm"

[allowances]
other = 1.2
padding = 0
`

// JobFile is the job as it is written.
func (f *Folder) JobFile(r *Record) ([]byte, error) {
	out := jobFile{Format: 1, Job: r.Number, Client: r.Client, Date: r.Date, Note: r.Note, Demo: r.Demo, Garment: r.Garment, Figure: r.Figure, Unit: r.Unit,
		House: r.House, Measures: untyped(r.Measures), Left: untyped(r.Left), Right: untyped(r.Right), Style: map[string]any{}}
	if age, err := strconv.ParseFloat(strings.Replace(r.Age, ",", ".", 1), 64); err == nil && age > 0 && age <= 120 {
		out.Age = age
	}
	for n, t := range r.Style {
		switch t {
		case "true", "false":
			out.Style[n] = t == "true"
		default:
			out.Style[n] = t
		}
	}
	switch {
	case r.House != "":
	case r.Unit == "cm":
		out.House = houseCM
	case f.has(houseInch):
		out.House = houseInch
	}
	return toml.Marshal(out)
}

// untyped is how measures are written: a text, or a table when it was confirmed.
func untyped(in map[string]Typed) map[string]any {
	out := map[string]any{}
	for n, t := range in {
		switch {
		case strings.TrimSpace(t.Text) == "":
		case t.Confirmed:
			out[n] = map[string]any{"size": t.Text, "confirmed": true}
		default:
			out[n] = t.Text
		}
	}
	return out
}

func (f *Folder) has(name string) bool {
	_, err := f.root.Stat(name)
	return err == nil
}

// Refer reads a house file of the folder; the metric house is there even when no file is.
func (f *Folder) Refer(path string) ([]byte, error) {
	if path != filepath.Base(path) || !strings.HasSuffix(path, ".toml") {
		return nil, fs.ErrNotExist
	}
	src, err := f.root.ReadFile(path)
	if path == houseCM && errors.Is(err, fs.ErrNotExist) {
		return []byte(metricHouse), nil
	}
	return src, err
}

// Lend keeps a house file that a job refers to by its name.
func (f *Folder) Lend(name string, src []byte) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if name != filepath.Base(name) || !strings.HasSuffix(name, ".toml") || isID(strings.TrimSuffix(name, ".toml")) {
		return fs.ErrInvalid
	}
	return f.write(name, src)
}

// listing is a job as it was read from its two files, and how those were then.
type listing struct {
	toml, json stamp
	job        *Record   // nil when it cannot be read
	at         time.Time // when it was read
}

// stamp tells one state of a file from another; the zero stamp is that of no file.
type stamp struct {
	at   time.Time
	size int64
}

func stampOf(info fs.FileInfo) stamp { return stamp{info.ModTime(), info.Size()} }

// sweepEvery is how often the list looks for what other programs have changed in the folder; what is changed here it knows at once.
const sweepEvery = time.Second / 2

// those are the jobs of the folder that are deleted, or those that are not, in no order. One that cannot be read is passed over.
func (f *Folder) those(gone bool) ([]*Record, error) {
	if err := f.seen(); err != nil {
		return nil, err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	out := make([]*Record, 0, len(f.known))
	for _, k := range f.known {
		if k.job != nil && (k.job.Kept.Gone != nil) == gone {
			out = append(out, k.job)
		}
	}
	return out, nil
}

// seen sees to it that the list is made, and now and then that it is up to date; one looks for all.
func (f *Folder) seen() error {
	since := func() time.Duration {
		f.mu.Lock()
		defer f.mu.Unlock()
		if f.swept.IsZero() {
			return -1
		}
		return time.Since(f.swept)
	}
	switch old := since(); {
	case old < 0:
		f.sweeping.Lock()
		defer f.sweeping.Unlock()
		if since() >= 0 {
			return nil
		}
	case old <= sweepEvery || !f.sweeping.TryLock():
		return nil
	default:
		defer f.sweeping.Unlock()
	}
	return f.sweep()
}

// sweep looks at every file of the folder and reads again those that are others than they were.
func (f *Folder) sweep() error {
	began := time.Now()
	dir, err := f.root.Open(".")
	if err != nil {
		return err
	}
	infos, err := dir.Readdir(-1)
	dir.Close()
	if err != nil {
		return err
	}
	stamps := make(map[string]stamp, len(infos))
	for _, info := range infos {
		stamps[info.Name()] = stampOf(info)
	}
	for name, is := range stamps {
		if id, ok := strings.CutSuffix(name, ".toml"); ok && isID(id) {
			f.look(id, is, stamps[id+".json"])
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.known == nil {
		f.known = map[string]listing{}
	}
	for id, k := range f.known {
		if _, there := stamps[id+".toml"]; !there && k.at.Before(began) { // one made meanwhile is not among the files seen
			delete(f.known, id)
		}
	}
	f.swept = began
	return nil
}

// look reads a job for the list, unless its files are as they were.
func (f *Folder) look(id string, toml, json stamp) {
	f.mu.Lock()
	k, ok := f.known[id]
	f.mu.Unlock()
	if ok && k.toml == toml && k.json == json {
		return
	}
	defer f.jobs.hold(id)() // it must not be written between looking and reading
	f.noted(id)
}

// noted reads a job into the list. Its lock is held.
func (f *Folder) noted(id string) {
	var stamps [2]stamp
	for i, name := range []string{id + ".toml", id + ".json"} {
		if info, err := f.root.Stat(name); err == nil {
			stamps[i] = stampOf(info)
		}
	}
	r, err := f.load(id)
	if err != nil {
		r = nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.known == nil {
		f.known = map[string]listing{}
	}
	f.known[id] = listing{stamps[0], stamps[1], r, time.Now()}
}

// List is every job of the folder that is not deleted, the one changed last first.
func (f *Folder) List() ([]*Record, error) {
	out, err := f.those(false)
	slices.SortFunc(out, func(a, b *Record) int { return cmp.Or(b.Changed.Compare(a.Changed), strings.Compare(a.ID, b.ID)) })
	return out, err
}

// Gone is every job that was deleted, the one deleted last first.
func (f *Folder) Gone() ([]*Record, error) {
	out, err := f.those(true)
	slices.SortFunc(out, func(a, b *Record) int { return cmp.Or(b.Kept.Gone.Compare(*a.Kept.Gone), strings.Compare(a.ID, b.ID)) })
	return out, err
}

// TakeBack undoes a deletion.
func (f *Folder) TakeBack(id string) error {
	if !isID(id) {
		return ErrNone
	}
	defer f.jobs.hold(id)()
	r, err := f.load(id)
	if err != nil {
		return err
	}
	r.Kept.Gone = nil
	return f.save(r)
}

// Houses are the house files of the folder beside those of the two units. What cannot be read as one is none.
func (f *Folder) Houses() ([]string, error) {
	names, err := fs.Glob(f.root.FS(), "*.toml")
	var out []string
	for _, n := range names {
		if isID(strings.TrimSuffix(n, ".toml")) || n == houseInch || n == houseCM || strings.HasPrefix(n, ".") {
			continue
		}
		if src, err := f.root.ReadFile(n); err == nil {
			if _, err := job.ReadHouse(n, src); err == nil {
				out = append(out, n)
			}
		}
	}
	return out, err
}

// Load reads one job that is not deleted.
func (f *Folder) Load(id string) (*Record, error) {
	r, err := f.load(id)
	if err == nil && r.Kept.Gone != nil {
		return nil, ErrNone
	}
	return r, err
}

func (f *Folder) load(id string) (*Record, error) {
	if !isID(id) {
		return nil, ErrNone
	}
	src, err := f.root.ReadFile(id + ".toml")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNone
	}
	if err != nil {
		return nil, err
	}
	var in jobFile
	if err := toml.Unmarshal(src, &in); err != nil {
		return nil, fmt.Errorf("the file of job %s cannot be read: %w", id, err)
	}
	r := &Record{ID: id, Client: in.Client, Number: in.Job, Date: in.Date, Note: in.Note, Demo: in.Demo, Garment: in.Garment, Figure: in.Figure, Unit: in.Unit,
		Measures: typed(in.Measures), Left: typed(in.Left), Right: typed(in.Right), Style: map[string]string{}}
	if in.House != houseInch && in.House != houseCM {
		r.House = in.House
	}
	if r.Unit != "cm" {
		r.Unit = "in"
	}
	if in.Age > 0 {
		r.Age = strconv.FormatFloat(in.Age, 'f', -1, 64)
	}
	for n, v := range in.Style {
		r.Style[n] = fmt.Sprint(v)
	}
	if info, err := f.root.Stat(id + ".toml"); err == nil {
		r.Changed = info.ModTime()
	}
	if kept, err := f.root.ReadFile(id + ".json"); err == nil {
		_ = json.Unmarshal(kept, &r.Kept) // what cannot be read is as if the work were not begun
	}
	return r, nil
}

func typed(in map[string]any) map[string]Typed {
	out := map[string]Typed{}
	for n, v := range in {
		if t, ok := v.(map[string]any); ok {
			confirmed, _ := t["confirmed"].(bool)
			out[n] = Typed{fmt.Sprint(t["size"]), confirmed}
			continue
		}
		out[n] = Typed{Text: fmt.Sprint(v)}
	}
	return out
}

// Create keeps a new job.
func (f *Folder) Create(r *Record) error {
	if !isID(r.ID) {
		r.ID = newID()
	}
	defer f.jobs.hold(r.ID)()
	return f.save(r)
}

// Remove throws a job's two files away.
func (f *Folder) Remove(id string) error {
	if !isID(id) {
		return ErrNone
	}
	defer f.jobs.hold(id)()
	defer func() {
		f.mu.Lock()
		defer f.mu.Unlock()
		delete(f.known, id)
	}()
	err := f.root.Remove(id + ".toml")
	if errors.Is(err, fs.ErrNotExist) {
		return ErrNone
	}
	if err != nil {
		return err
	}
	if err := f.root.Remove(id + ".json"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// Change loads, changes and keeps a job.
func (f *Folder) Change(id string, change func(*Record) error) error {
	if !isID(id) {
		return ErrNone
	}
	defer f.jobs.hold(id)()
	r, err := f.Load(id)
	if err != nil {
		return err
	}
	if err := change(r); err != nil {
		return err
	}
	return f.save(r)
}

func (f *Folder) save(r *Record) error {
	defer f.noted(r.ID) // at once, since its files' times may be too coarse to tell it from what it was
	src, err := f.JobFile(r)
	if err != nil {
		return err
	}
	if r.Unit == "cm" && !f.has(houseCM) {
		if err := f.write(houseCM, []byte(metricHouse)); err != nil {
			return err
		}
	}
	if err := f.write(r.ID+".toml", src); err != nil {
		return err
	}
	kept, err := json.Marshal(r.Kept)
	if err != nil {
		return err
	}
	return f.write(r.ID+".json", kept)
}

// write writes a file whole: beside it first, then renamed. A file that holds the same already is left.
func (f *Folder) write(name string, src []byte) error {
	if old, err := f.root.ReadFile(name); err == nil && bytes.Equal(old, src) {
		return nil
	}
	temp := "." + name + "." + newID()
	w, err := f.root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = w.Write(src)
	if err == nil {
		err = w.Sync()
	}
	if bad := w.Close(); err == nil {
		err = bad
	}
	if err == nil {
		err = f.root.Rename(temp, name)
	}
	if err != nil {
		f.root.Remove(temp)
	}
	return err
}

// Secret is a key of 32 bytes that stays the same from one start of the server to the next, so that a form opened before it was
// stopped can be sent after. It is made when it is not there.
func (f *Folder) Secret() ([]byte, error) {
	const name = ".key"
	defer f.jobs.hold(name)()
	if key, err := f.root.ReadFile(name); err == nil && len(key) == 32 {
		return key, nil
	}
	key := randomBytes(32)
	return key, f.write(name, key)
}

const passphraseName = ".passphrase"

// Lock is the lock that SetLock has kept. The error is fs.ErrNotExist where none is.
func (f *Folder) Lock() (Lock, error) {
	src, err := f.root.ReadFile(passphraseName)
	if err != nil {
		return "", err
	}
	return ParseLock(strings.TrimSpace(string(src)))
}

// SetLock keeps a lock in the folder.
func (f *Folder) SetLock(l Lock) error {
	defer f.jobs.hold(passphraseName)()
	return f.write(passphraseName, []byte(string(l)+"\n"))
}
