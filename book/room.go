package book

import (
	"context"
	"database/sql"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"time"
)

// The settings of the room.
const (
	SetHours   = "hours"           // "mon 6, tue 6, ..." hours really left for sewing
	SetClosed  = "closed"          // days, comma between
	SetHouse   = "house"           // SHA-256 of the house file kept for new jobs
	SetCosting = "costing"         // SHA-256 of the costing file
	SetBackups = "backups"         // the folder for dated backups
	SetName    = "name"            // printed on what a client gets
	SetPhrase  = "passphrase_file" // the file that holds the passphrase the dated backups are encrypted with; the passphrase itself is nowhere in the book
)

// Set writes one setting; an empty value takes it away.
func (tx *Tx) Set(key, value string) error {
	if value == "" {
		_, err := tx.exec("DELETE FROM setting WHERE key = ?", key)
		return err
	}
	_, err := tx.exec("INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value", key, value)
	return err
}

// SetFile keeps a file's bytes under a setting.
func (tx *Tx) SetFile(key string, bytes []byte) error {
	sha, err := tx.keep(bytes)
	if err != nil {
		return err
	}
	return tx.Set(key, sha)
}

// Setting is one setting, empty when it is not there.
func (b *Book) Setting(ctx context.Context, key string) (string, error) {
	var v string
	err := b.read.QueryRowContext(ctx, "SELECT value FROM setting WHERE key = ?", key).Scan(&v)
	if isNone(err) {
		return "", nil
	}
	return v, b.fault(err)
}

// SettingFile is the bytes kept under a setting; ok is false when there are none.
func (b *Book) SettingFile(ctx context.Context, key string) (bytes []byte, ok bool, err error) {
	err = b.read.QueryRowContext(ctx, "SELECT bytes FROM setting JOIN kept ON sha = value WHERE key = ?", key).Scan(&bytes)
	if isNone(err) {
		return nil, false, nil
	}
	return bytes, err == nil, b.fault(err)
}

var weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"} // as time.Weekday counts

// Hours is when the room works: minutes a weekday, counted from Sunday, and the days it is closed.
type Hours struct {
	Minutes [7]int
	Closed  map[string]bool
}

// On is how many minutes are worked on a day.
func (h Hours) On(day time.Time) int {
	if h.Closed[day.Format(Day)] {
		return 0
	}
	return h.Minutes[day.Weekday()]
}

// None says that the room has no working minute in a week.
func (h Hours) None() bool { return h.Minutes == [7]int{} }

// ParseHours reads "mon-fri 6, sat 3.5" (hours a day) and closed days as "2026-12-24, 2026-12-27..2027-01-03".
func ParseHours(hours, closed string) (Hours, error) {
	h := Hours{Closed: map[string]bool{}}
	for _, part := range strings.Split(hours, ",") {
		f := strings.Fields(part)
		if len(f) == 0 {
			continue
		}
		bad := mistake("the hours %q are not understood; days and hours are allowed, as mon-fri 6, sat 3.5", strings.TrimSpace(part))
		if len(f) != 2 {
			return h, bad
		}
		from, to, is := strings.Cut(strings.ToLower(f[0]), "-")
		if !is {
			to = from
		}
		a, b := weekday(from), weekday(to)
		v, err := strconv.ParseFloat(strings.TrimSuffix(f[1], "h"), 64)
		if a < 0 || b < 0 || err != nil || !(v >= 0 && v <= 24) {
			return h, bad
		}
		for d := a; ; d = (d + 1) % 7 {
			h.Minutes[d] = int(v*60 + 0.5)
			if d == b {
				break
			}
		}
	}
	for _, part := range strings.Split(closed, ",") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		first, last, is := strings.Cut(part, "..")
		if !is {
			last = first
		}
		a, err := ParseDay(first)
		if err != nil {
			return h, err
		}
		z, err := ParseDay(last)
		if err != nil {
			return h, err
		}
		d, end := dayTime(a), dayTime(z)
		if end.Before(d) || end.Sub(d) > 366*24*time.Hour {
			return h, mistake("closed days %q end before they begin, or last over a year", part)
		}
		for ; !d.After(end); d = d.AddDate(0, 0, 1) {
			h.Closed[d.Format(Day)] = true
		}
	}
	return h, nil
}

func weekday(s string) int {
	for i, w := range weekdays {
		if strings.HasPrefix(s, w) {
			return i
		}
	}
	return -1
}

func dayTime(s string) time.Time {
	t, _ := time.Parse(Day, s)
	return t
}

// Hours are the room's working hours as set.
func (b *Book) Hours(ctx context.Context) (Hours, error) {
	hours, err := b.Setting(ctx, SetHours)
	if err != nil {
		return Hours{}, err
	}
	closed, err := b.Setting(ctx, SetClosed)
	if err != nil {
		return Hours{}, err
	}
	return ParseHours(hours, closed)
}

// Load is the work still owed on one job.
type Load struct {
	Job     string
	Client  string
	Due     string // empty: nothing is promised
	Minutes int
}

// Loads lists the work still owed on open jobs: the minutes of the newest quotation less those recorded. A job without a quotation
// owes none, since nobody has reckoned it: unreckoned counts those.
func (b *Book) Loads(ctx context.Context) (loads []Load, unreckoned []string, err error) {
	type row struct {
		Load
		reckoned bool
	}
	rows, err := list(ctx, b.read, func(rows *sql.Rows, r *row) error {
		var minutes sql.NullInt64
		var worked int64
		if err := rows.Scan(&r.Job, &r.Client, &r.Due, &minutes, &worked); err != nil {
			return err
		}
		r.reckoned = minutes.Valid
		r.Minutes = max(0, int(minutes.Int64-worked))
		return nil
	}, `SELECT number, client.name, coalesce(due, ''), (SELECT minutes FROM quote WHERE quote.job_id = job.id ORDER BY n DESC LIMIT 1),
		coalesce((SELECT sum(minutes) FROM worked WHERE worked.job_id = job.id), 0)
		FROM job JOIN client ON client.id = client_id WHERE state IN ('ordered', 'confirmed', 'cut', 'fitting', 'finishing') ORDER BY due IS NULL, due, job.id`)
	if err != nil {
		return nil, nil, b.fault(err)
	}
	for _, r := range rows {
		if !r.reckoned {
			unreckoned = append(unreckoned, r.Job)
			continue
		}
		loads = append(loads, r.Load)
	}
	return loads, unreckoned, nil
}

// Late is a promise that cannot be held: by the evening of its day so many minutes of work are still left.
type Late struct {
	Job     string
	Client  string
	Due     string
	Minutes int
}

// Broken lists the promises that the room's hours cannot hold when it works on what is due first, first. Work without a date
// waits behind all that has one. Today counts whole when it is not over: the caller says from which day on.
func Broken(loads []Load, h Hours, from string) []Late {
	var dated []Load
	for _, l := range loads {
		if l.Due != "" && l.Minutes > 0 {
			dated = append(dated, l)
		}
	}
	sort.SliceStable(dated, func(a, b int) bool { return dated[a].Due < dated[b].Due })
	var out []Late
	day, have, need := dayTime(from), 0, 0
	for _, l := range dated {
		need += l.Minutes
		for end := dayTime(l.Due); !day.After(end); day = day.AddDate(0, 0, 1) {
			have += h.On(day)
		}
		if need > have {
			out = append(out, Late{l.Job, l.Client, l.Due, need - have})
		}
	}
	return out
}

// Earliest is the first day that work of so many minutes can be promised for without breaking a promise that holds now. Work is
// counted from the day from on; notBefore, when not empty, is the first day wanted, as when fittings take their time. It is empty
// when the room has no hours, or none within three years.
func Earliest(loads []Load, h Hours, from, notBefore string, minutes int) string {
	if h.None() {
		return ""
	}
	for d, n := dayTime(max(from, notBefore)), 0; n < 3*366; d, n = d.AddDate(0, 0, 1), n+1 {
		if h.On(d) == 0 {
			continue
		}
		if due := d.Format(Day); len(NewlyBroken(loads, Load{Due: due, Minutes: minutes}, h, from)) == 0 {
			return due
		}
	}
	return ""
}

// NewlyBroken lists the promises that one more would break or make later, itself included (under its own job number, which is
// empty for one not yet booked). A job that stands in loads already is taken out first.
func NewlyBroken(loads []Load, more Load, h Hours, from string) []Late {
	var others []Load
	for _, l := range loads {
		if l.Job != more.Job {
			others = append(others, l)
		}
	}
	was := map[string]int{}
	for _, l := range Broken(others, h, from) {
		was[l.Job] = l.Minutes
	}
	var out []Late
	for _, l := range Broken(append(others, more), h, from) {
		if before, ok := was[l.Job]; !ok || l.Job == more.Job || l.Minutes > before {
			out = append(out, l)
		}
	}
	return out
}

// Entry is one line of the diary.
type Entry struct {
	Day    string
	What   string // "due" or "fitting"
	ID     int64  // of the job
	Job    string
	Client string
	State  State
	Title  string
}

// Diary lists what is due and which fittings are planned up to a day, and what is overdue.
func (b *Book) Diary(ctx context.Context, to string) ([]Entry, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, e *Entry) error {
		return rows.Scan(&e.Day, &e.What, &e.ID, &e.Job, &e.Client, &e.State, &e.Title)
	}, `SELECT due AS day, 'due', job.id, number, client.name, state, title FROM job JOIN client ON client.id = client_id WHERE state NOT IN ('handed-over', 'dropped') AND due <= ?1
		UNION ALL SELECT day, 'fitting', job.id, number, client.name, state, title FROM fitting JOIN job ON job.id = job_id JOIN client ON client.id = client_id
		WHERE held = 0 AND day <= ?1 AND state NOT IN ('handed-over', 'dropped') ORDER BY 1, 2 DESC, 4`, to)
	return out, b.fault(err)
}

// Goods is cloth that a client brought.
type Goods struct {
	ID        int64
	ClientID  int64
	Client    string
	Job       string // empty when it is for no job yet
	Day       string
	What      string
	Length    float64 // mm
	Width     float64 // mm
	Condition string
	Note      string
	Left      float64 // mm not yet out
}

// TakeGoods books a client's own cloth in.
func (tx *Tx) TakeGoods(clientID int64, job string, g Goods) (Goods, error) {
	if !(g.Length > 0 && g.Length <= 1e6 && g.Width > 0 && g.Width <= 5000) {
		return g, mistake("cloth of %.0f mm by %.0f mm: up to 1000 m long and 5 m wide is allowed", g.Length, g.Width)
	}
	if strings.TrimSpace(g.What) == "" || strings.TrimSpace(g.Condition) == "" {
		return g, mistake("say what cloth it is and in what state it came")
	}
	var jobID any
	if job != "" {
		j, err := tx.Job(job)
		if err != nil {
			return g, err
		}
		if j.ClientID != clientID {
			return g, mistake("job %s is another client's", job)
		}
		jobID = j.ID
	}
	var err error
	g.ID, err = tx.exec("INSERT INTO goods (client_id, job_id, day, what, length_mm, width_mm, condition, note, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		clientID, jobID, g.Day, g.What, g.Length, g.Width, g.Condition, g.Note, tx.stamp())
	return g, err
}

// GiveGoods books cloth out again: cut, or given back. No more goes out than is there; mm 0 means all that is left. It returns
// what is left.
func (tx *Tx) GiveGoods(id int64, mm float64, day, why string) (left float64, err error) {
	g, err := goods(tx.ctx, tx.tx, "goods.id = ?", id)
	if err != nil {
		return 0, err
	}
	if len(g) == 0 {
		return 0, mistake("no cloth is booked under %d; clothwright cloth list shows what is", id)
	}
	if mm == 0 {
		mm = g[0].Left
	}
	if mm <= 0 || mm > g[0].Left+0.5 {
		return g[0].Left, mistake("%s of cloth %d are to go out and %s are there", metresOf(mm), id, metresOf(g[0].Left))
	}
	_, err = tx.exec("INSERT INTO goods_out (goods_id, day, length_mm, why, made) VALUES (?, ?, ?, ?, ?)", id, day, mm, why, tx.stamp())
	return max(0, g[0].Left-mm), err
}

func metresOf(mm float64) string { return fmt.Sprintf("%.2f m", mm/1000) }

func goods(ctx context.Context, q asker, where string, args ...any) ([]Goods, error) {
	return list(ctx, q, func(rows *sql.Rows, g *Goods) error {
		return rows.Scan(&g.ID, &g.ClientID, &g.Client, &g.Job, &g.Day, &g.What, &g.Length, &g.Width, &g.Condition, &g.Note, &g.Left)
	}, `SELECT goods.id, goods.client_id, client.name, coalesce(job.number, ''), day, what, length_mm, width_mm, condition, goods.note,
		length_mm - coalesce((SELECT sum(length_mm) FROM goods_out WHERE goods_id = goods.id), 0)
		FROM goods JOIN client ON client.id = goods.client_id LEFT JOIN job ON job.id = goods.job_id WHERE `+where+" ORDER BY goods.id", args...)
}

// Goods lists clients' own cloth: of one client or of all (0); what is all out only when asked for.
func (b *Book) Goods(ctx context.Context, clientID int64, outToo bool) ([]Goods, error) {
	out, err := goods(ctx, b.read, "(?1 = 0 OR goods.client_id = ?1) AND (?2 OR length_mm - coalesce((SELECT sum(length_mm) FROM goods_out WHERE goods_id = goods.id), 0) > 0.5)", clientID, outToo)
	return out, b.fault(err)
}

// Shelf is one thing the room keeps: cloth or rib by its length, zips and trims by count.
type Shelf struct {
	ID   int64
	Code string
	Kind string // "cloth", "rib", "zip", "trim"
	Name string
	Unit string // "mm" or "piece"
	Left int64
}

// PutShelf adds something to the shelf, or takes it off when quantity is below nought. A new code needs kind and name. Nothing is
// taken that is not there.
func (tx *Tx) PutShelf(s Shelf, quantity int64, job, day, why string) (Shelf, error) {
	if quantity == 0 {
		return s, mistake("nothing is put on the shelf and nothing taken")
	}
	there, err := shelf(tx.ctx, tx.tx, "code = ?", s.Code)
	if err != nil {
		return s, err
	}
	if len(there) == 0 {
		if quantity < 0 {
			return s, mistake("there is no %s on the shelf; clothwright shelf list shows what is", s.Code)
		}
		if s.Kind == "" || s.Name == "" {
			return s, mistake("%s is new on the shelf: say its kind (cloth, rib, zip, trim) and its name", s.Code)
		}
		s.Unit = "piece"
		if s.Kind == "cloth" || s.Kind == "rib" {
			s.Unit = "mm"
		}
		if s.ID, err = tx.exec("INSERT INTO shelf (code, kind, name, unit, made) VALUES (?, ?, ?, ?, ?)", s.Code, s.Kind, s.Name, s.Unit, tx.stamp()); err != nil {
			return s, err
		}
	} else {
		s = there[0]
	}
	if s.Left+quantity < 0 {
		return s, mistake("%s of %s are to be taken and %s are there", s.Words(-quantity), s.Code, s.Words(s.Left))
	}
	var jobID any
	if job != "" {
		j, err := tx.Job(job)
		if err != nil {
			return s, err
		}
		jobID = j.ID
	}
	s.Left += quantity
	_, err = tx.exec("INSERT INTO shelf_move (shelf_id, day, quantity, job_id, why, made) VALUES (?, ?, ?, ?, ?, ?)", s.ID, day, quantity, jobID, why, tx.stamp())
	return s, err
}

// Need is something that cutting a job takes.
type Need struct {
	What     string           // for people
	Kind     string           // of the thing on the shelf
	Quantity int64            // mm of cloth and rib, else pieces
	Is       func(Shelf) bool // whether it is that thing on the shelf
}

// Took is what became of a need.
type Took struct {
	Need
	From  Shelf // the thing on the shelf, with what is left of it; its code is empty where the shelf has no such thing
	Short bool  // there is less than needed, so nothing was taken
}

// Why the shelf changed when a job was cut, and when it was not cut after all.
const (
	forCut = "cut, booked with the move"
	uncut  = "put back, not cut after all"
)

// TakeForCut takes what cutting a job needs from the shelf, once: what was taken for the job already is not taken again. Of several things
// that would do, the first by code that holds enough is taken. What is short is left where it is and said.
func (tx *Tx) TakeForCut(number string, needs []Need) ([]Took, error) {
	out, err := tx.cutting(number)
	if err != nil || len(out) > 0 {
		return nil, err
	}
	for _, n := range needs {
		t := Took{Need: n}
		there, err := shelf(tx.ctx, tx.tx, "kind = ?", n.Kind)
		if err != nil {
			return nil, err
		}
		for _, s := range there {
			if n.Is(s) && (t.From.Code == "" || t.Short && s.Left >= n.Quantity) {
				t.From, t.Short = s, s.Left < n.Quantity
			}
		}
		if t.From.Code != "" && !t.Short {
			if t.From, err = tx.PutShelf(t.From, -n.Quantity, number, tx.Today(), forCut); err != nil {
				return nil, err
			}
		}
		out = append(out, t)
	}
	return out, nil
}

// PutBack puts back what was taken from the shelf when a job was cut.
func (tx *Tx) PutBack(number string) ([]Took, error) {
	out, err := tx.cutting(number)
	if err != nil {
		return nil, err
	}
	for i, t := range out {
		if out[i].From, err = tx.PutShelf(t.From, t.Quantity, number, tx.Today(), uncut); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// cutting is what was taken from the shelf for a job's cutting and was not put back.
func (tx *Tx) cutting(number string) ([]Took, error) {
	j, err := tx.Job(number)
	if err != nil {
		return nil, err
	}
	return list(tx.ctx, tx.tx, func(rows *sql.Rows, t *Took) error {
		return rows.Scan(&t.From.Code, &t.What, &t.Kind, &t.Quantity)
	}, `SELECT code, name, kind, -sum(quantity) FROM shelf_move JOIN shelf ON shelf.id = shelf_id WHERE job_id = ? AND why IN (?, ?)
		GROUP BY shelf_id HAVING sum(quantity) < 0 ORDER BY kind, code`, j.ID, forCut, uncut)
}

// Words says a quantity: "2.40 m" or "3".
func (s Shelf) Words(n int64) string {
	if s.Unit == "mm" {
		return metresOf(float64(n))
	}
	return strconv.FormatInt(n, 10)
}

func shelf(ctx context.Context, q asker, where string, args ...any) ([]Shelf, error) {
	return list(ctx, q, func(rows *sql.Rows, s *Shelf) error {
		return rows.Scan(&s.ID, &s.Code, &s.Kind, &s.Name, &s.Unit, &s.Left)
	}, "SELECT id, code, kind, name, unit, coalesce((SELECT sum(quantity) FROM shelf_move WHERE shelf_id = shelf.id), 0) FROM shelf WHERE "+where+" ORDER BY kind, code", args...)
}

// Shelf lists everything on the shelf, by kind and code. Thing finds one of it.
func (b *Book) Shelf(ctx context.Context) ([]Shelf, error) {
	out, err := shelf(ctx, b.read, "1")
	return out, b.fault(err)
}

// Thing is one thing on the shelf by its code; ok is false when there is none.
func (b *Book) Thing(ctx context.Context, code string) (Shelf, bool, error) {
	out, err := shelf(ctx, b.read, "code = ?", code)
	if err != nil || len(out) == 0 {
		return Shelf{}, false, b.fault(err)
	}
	return out[0], true, nil
}

// Photo is a picture kept elsewhere, by where it lies and its SHA-256.
type Photo struct {
	ID    int64
	Job   string
	Goods int64
	Path  string
	SHA   string
	Note  string
	Day   string
}

// AddPhoto books where a photo lies. Its bytes, when given, are not kept; their SHA-256 is, so that a changed picture is found out.
func (tx *Tx) AddPhoto(clientID int64, p Photo, bytes []byte) error {
	if strings.TrimSpace(p.Path) == "" {
		return mistake("the photo's path is missing")
	}
	var jobID any
	if p.Job != "" {
		j, err := tx.Job(p.Job)
		if err != nil {
			return err
		}
		if j.ClientID != clientID {
			return mistake("job %s is another client's", p.Job)
		}
		jobID = j.ID
	}
	if bytes != nil {
		p.SHA = shaOf(bytes)
	}
	_, err := tx.exec("INSERT INTO photo (client_id, job_id, goods_id, path, sha, note, day, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?)", clientID, jobID, orNull(p.Goods != 0, p.Goods), p.Path, p.SHA, p.Note, p.Day, tx.stamp())
	return err
}

// Photos lists a client's photos.
func (b *Book) Photos(ctx context.Context, clientID int64) ([]Photo, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, p *Photo) error {
		return rows.Scan(&p.ID, &p.Job, &p.Goods, &p.Path, &p.SHA, &p.Note, &p.Day)
	}, "SELECT photo.id, coalesce(number, ''), coalesce(goods_id, 0), path, sha, photo.note, day FROM photo LEFT JOIN job ON job.id = job_id WHERE photo.client_id = ? ORDER BY photo.id", clientID)
	return out, b.fault(err)
}
