package book

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// State is where a job stands.
type State string

// The states, in the order a job goes through them.
const (
	Ordered    State = "ordered"
	Confirmed  State = "confirmed"
	BeingCut   State = "cut"
	Fitting    State = "fitting"
	Finishing  State = "finishing"
	Ready      State = "ready"
	HandedOver State = "handed-over"
	Dropped    State = "dropped"
)

// Moves is the state line: from each state, the states that may follow. A garment may go back to the table after a fitting, and
// from ready back to a fitting; what is handed over or dropped is closed.
var Moves = []struct {
	From State
	To   []State
	What string
}{
	{Ordered, []State{Confirmed, Dropped}, "ordered, not yet agreed"},
	{Confirmed, []State{BeingCut, Ordered, Dropped}, "agreed and signed; back to ordered when the client changes their mind"},
	{BeingCut, []State{Fitting, Finishing, Confirmed, Dropped}, "on the table or under the machine; back to confirmed when it was not cut after all"},
	{Fitting, []State{BeingCut, Finishing, Dropped}, "waiting for the client or just fitted"},
	{Finishing, []State{Fitting, Ready, Dropped}, "lining, zip, pressing"},
	{Ready, []State{HandedOver, Fitting, Dropped}, "waits to be fetched"},
	{HandedOver, nil, "with the client; closed"},
	{Dropped, nil, "given up; closed"},
}

// States are the names of all states.
func States() []string {
	var out []string
	for _, m := range Moves {
		out = append(out, string(m.From))
	}
	return out
}

// Open says whether work may still be owed in this state.
func (s State) Open() bool { return s != HandedOver && s != Dropped && s != Ready }

// Job is one garment, or a run of one, for one client.
type Job struct {
	ID       int64
	Number   string
	ClientID int64
	Client   string // the client's name
	Code     string // the client's code
	Garment  string
	Title    string
	State    State
	Due      string // the day promised, empty for none
	Note     string
	Made     string
}

const jobColumns = "job.id, number, client_id, client.name, client.code, garment, title, state, coalesce(due, ''), job.note, job.made"

func scanJob(rows *sql.Rows, j *Job) error {
	return rows.Scan(&j.ID, &j.Number, &j.ClientID, &j.Client, &j.Code, &j.Garment, &j.Title, &j.State, &j.Due, &j.Note, &j.Made)
}

// AddJob books an order in the state ordered.
func (tx *Tx) AddJob(clientID int64, j Job) (Job, error) {
	j.Number = strings.TrimSpace(j.Number)
	if n := utf8.RuneCountInString(j.Number); n < 1 || n > 80 || strings.ContainsAny(j.Number, "\n\r\t") {
		return j, mistake("the job's number %q: 1 to 80 letters and digits are allowed", j.Number)
	}
	if _, err := jobBy(tx.ctx, tx.tx, j.Number); err == nil {
		return j, mistake("there is a job %s already", j.Number)
	}
	j.ClientID, j.State, j.Made = clientID, Ordered, tx.stamp()
	var err error
	j.ID, err = tx.exec("INSERT INTO job (number, client_id, garment, title, state, due, note, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
		j.Number, clientID, j.Garment, j.Title, j.State, orNull(j.Due != "", j.Due), j.Note, j.Made)
	if err != nil {
		return j, err
	}
	_, err = tx.exec("INSERT INTO step (job_id, was, is_now, day, made) VALUES (?, '', ?, ?, ?)", j.ID, j.State, tx.Today(), j.Made)
	return j, err
}

// Job finds a job by its number.
func (b *Book) Job(ctx context.Context, number string) (Job, error) {
	j, err := jobBy(ctx, b.read, number)
	return j, b.fault(err)
}

// JobByID is a job by the number of its row.
func (b *Book) JobByID(ctx context.Context, id int64) (Job, error) {
	out, err := list(ctx, b.read, scanJob, "SELECT "+jobColumns+" FROM job JOIN client ON client.id = client_id WHERE job.id = ?", id)
	if err == nil && len(out) == 0 {
		return Job{}, mistake("there is no such job in the book, or no longer")
	}
	if err != nil {
		return Job{}, b.fault(err)
	}
	return out[0], nil
}

// Job finds a job in a change.
func (tx *Tx) Job(number string) (Job, error) { return jobBy(tx.ctx, tx.tx, number) }

func jobBy(ctx context.Context, q asker, number string) (Job, error) {
	out, err := list(ctx, q, scanJob, "SELECT "+jobColumns+" FROM job JOIN client ON client.id = client_id WHERE number = ?", strings.TrimSpace(number))
	if err == nil && len(out) == 0 {
		return Job{}, mistake("there is no job %s; clothwright order list shows them", number)
	}
	if err != nil {
		return Job{}, err
	}
	return out[0], nil
}

// LastNumber is the number of the job that was booked last, empty when there is none.
func (b *Book) LastNumber(ctx context.Context) (number string, err error) {
	err = b.read.QueryRowContext(ctx, "SELECT number FROM job ORDER BY id DESC LIMIT 1").Scan(&number)
	if isNone(err) {
		return "", nil
	}
	return number, b.fault(err)
}

// Jobs lists jobs, the nearest date first: the open ones, those of one client, or all when both are left empty.
func (b *Book) Jobs(ctx context.Context, openOnly bool, clientID int64, most int) ([]Job, error) {
	query, args := "SELECT "+jobColumns+" FROM job JOIN client ON client.id = client_id WHERE 1", []any{}
	if openOnly {
		query += " AND state NOT IN ('handed-over', 'dropped')"
	}
	if clientID != 0 {
		query += " AND client_id = ?"
		args = append(args, clientID)
	}
	out, err := list(ctx, b.read, scanJob, query+" ORDER BY due IS NULL, due, job.id LIMIT ?", append(args, most)...)
	return out, b.fault(err)
}

// FindJobs lists jobs in the states named, or in all when none is, whose number holds the text or whose client's name has all its
// parts as Find looks for them. What is not closed comes first, then the nearest date. At most so many are returned.
func (b *Book) FindJobs(ctx context.Context, part string, states []State, most int) ([]Job, error) {
	query, args := "SELECT "+jobColumns+" FROM job JOIN client ON client.id = client_id WHERE 1", []any{}
	if len(states) > 0 {
		query += " AND state IN (?" + strings.Repeat(", ?", len(states)-1) + ")"
		for _, s := range states {
			args = append(args, s)
		}
	}
	if part = strings.TrimSpace(part); part != "" {
		query += " AND (instr(lower(number), lower(?)) > 0"
		args = append(args, part)
		if parts := strings.Fields(Fold(part)); len(parts) > 0 {
			query += " OR client_id IN (SELECT id FROM client INDEXED BY client_folded WHERE 1"
			for _, p := range parts {
				query += " AND instr(folded, ?) > 0"
				args = append(args, p)
			}
			query += ")"
		}
		query += ")"
	}
	out, err := list(ctx, b.read, scanJob, query+" ORDER BY state IN ('handed-over', 'dropped'), due IS NULL, due, job.id DESC LIMIT ?", append(args, most)...)
	return out, b.fault(err)
}

// Move takes a job to another state. Only the moves of the table Moves are allowed, and nothing is cut before what is cut
// was agreed.
func (tx *Tx) Move(number string, to State, note string) (Job, error) {
	j, err := tx.Job(number)
	if err != nil {
		return j, err
	}
	var next []State
	known := false
	for _, m := range Moves {
		if m.From == j.State {
			next = m.To
		}
		known = known || m.From == to
	}
	switch {
	case !known:
		return j, mistake("%q is no state; %s are", to, strings.Join(States(), ", "))
	case !slices.Contains(next, to) && len(next) == 0:
		return j, mistake("job %s is %s, and that is the end of it", number, j.State)
	case !slices.Contains(next, to):
		return j, mistake("job %s is %s, and from there it can go to %s, not to %s", number, j.State, join(next), to)
	}
	if to == Confirmed || to == BeingCut && j.State == Confirmed {
		if err := tx.agreed(j); err != nil {
			return j, err
		}
	}
	if _, err := tx.exec("UPDATE job SET state = ? WHERE id = ?", to, j.ID); err != nil {
		return j, err
	}
	if _, err := tx.exec("INSERT INTO step (job_id, was, is_now, day, note, made) VALUES (?, ?, ?, ?, ?, ?)", j.ID, j.State, to, tx.Today(), note, tx.stamp()); err != nil {
		return j, err
	}
	j.State = to
	return j, nil
}

func join(s []State) string {
	out := make([]string, len(s))
	for i, x := range s {
		out[i] = string(x)
	}
	return strings.Join(out, ", ")
}

// Step is one move of a job.
type Step struct {
	Was, Now State
	Day      string
	Note     string
}

// Steps lists a job's moves.
func (b *Book) Steps(ctx context.Context, jobID int64) ([]Step, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, s *Step) error { return rows.Scan(&s.Was, &s.Now, &s.Day, &s.Note) },
		"SELECT was, is_now, day, note FROM step WHERE job_id = ? ORDER BY id", jobID)
	return out, b.fault(err)
}

// Promise writes the day a job is promised for; empty takes the promise back.
func (tx *Tx) Promise(number, due string) error {
	j, err := tx.Job(number)
	if err != nil {
		return err
	}
	_, err = tx.exec("UPDATE job SET due = ? WHERE id = ?", orNull(due != "", due), j.ID)
	return err
}

// Draft is a job file with everything it was drafted from and what came of it, so that it can be cut again exactly.
type Draft struct {
	ID         int64
	JobID      int64
	N          int // from 1
	CardID     int64
	Name       string // of the job file
	File       []byte // the job file
	HouseName  string // as the job file names it; empty for the standard house
	House      []byte
	ScriptName string
	Script     []byte
	Program    string // the version that drafted it
	Level      string // "ok", "note", "warn" or "stop"
	Record     []byte // job.json
	SHA        string // SHA-256 of Record
	Why        string
	Made       string
}

// AddDraft keeps a draft as the next one of its job.
func (tx *Tx) AddDraft(jobID int64, d Draft) (Draft, error) {
	if err := tx.tx.QueryRowContext(tx.ctx, "SELECT coalesce(max(n), 0) + 1 FROM draft WHERE job_id = ?", jobID).Scan(&d.N); err != nil {
		return d, err
	}
	house := any(nil)
	if d.HouseName != "" {
		sha, err := tx.keep(d.House)
		if err != nil {
			return d, err
		}
		house = sha
	}
	script, err := tx.keep(d.Script)
	if err != nil {
		return d, err
	}
	packed, err := pack(d.Record)
	if err != nil {
		return d, err
	}
	d.JobID, d.SHA, d.Program, d.Made = jobID, shaOf(d.Record), tx.b.o.Program, tx.stamp()
	d.ID, err = tx.exec("INSERT INTO draft (job_id, n, card_id, name, file, house_name, house, script_name, script, program, level, record, sha, why, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		jobID, d.N, orNull(d.CardID != 0, d.CardID), d.Name, notNil(d.File), d.HouseName, house, d.ScriptName, script, d.Program, d.Level, packed, d.SHA, d.Why, d.Made)
	return d, err
}

func notNil(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}

// keep stores bytes once, however often they are used.
func (tx *Tx) keep(bytes []byte) (string, error) {
	sha := shaOf(bytes)
	_, err := tx.exec("INSERT OR IGNORE INTO kept (sha, bytes) VALUES (?, ?)", sha, notNil(bytes))
	return sha, err
}

// SHA is the SHA-256 of bytes, as the book writes it.
func SHA(b []byte) string { return shaOf(b) }

func shaOf(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

func pack(b []byte) ([]byte, error) {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(b); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func unpack(b []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(b))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(z, 1<<28))
}

// Drafts lists a job's drafts without their bytes, the first first.
func (b *Book) Drafts(ctx context.Context, jobID int64) ([]Draft, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, d *Draft) error {
		return rows.Scan(&d.ID, &d.JobID, &d.N, &d.CardID, &d.Name, &d.HouseName, &d.ScriptName, &d.Program, &d.Level, &d.SHA, &d.Why, &d.Made)
	}, "SELECT id, job_id, n, coalesce(card_id, 0), name, house_name, script_name, program, level, sha, why, made FROM draft WHERE job_id = ? ORDER BY n", jobID)
	return out, b.fault(err)
}

// Draft is one draft of a job with all its bytes; n 0 is the newest. It fails when the bytes are no longer what was kept.
func (b *Book) Draft(ctx context.Context, jobID int64, n int) (Draft, error) {
	query, args := `SELECT draft.id, job_id, n, coalesce(card_id, 0), name, file, house_name, coalesce(h.bytes, x''), script_name, s.bytes, program, level, record, draft.sha, why, made
		FROM draft JOIN kept s ON s.sha = script LEFT JOIN kept h ON h.sha = house WHERE job_id = ?`, []any{jobID}
	if n > 0 {
		query += " AND n = ?"
		args = append(args, n)
	}
	var packed []byte
	out, err := list(ctx, b.read, func(rows *sql.Rows, d *Draft) error {
		return rows.Scan(&d.ID, &d.JobID, &d.N, &d.CardID, &d.Name, &d.File, &d.HouseName, &d.House, &d.ScriptName, &d.Script, &d.Program, &d.Level, &packed, &d.SHA, &d.Why, &d.Made)
	}, query+" ORDER BY n DESC LIMIT 1", args...)
	if err != nil {
		return Draft{}, b.fault(err)
	}
	if len(out) == 0 {
		return Draft{}, mistake("the job has no draft %d", n)
	}
	d := out[0]
	if d.Record, err = unpack(packed); err != nil || shaOf(d.Record) != d.SHA {
		return d, &Fault{Code: Damaged, Text: fmt.Sprintf("draft %d in the book %s is not what was kept: its record does not have its SHA-256; restore a backup", d.N, b.path), err: err}
	}
	return d, nil
}

// Issue is one confirmation sheet: what it was made of and whether it was signed.
type Issue struct {
	N      int
	Draft  int
	Quote  int
	Due    string
	Day    string
	Agreed string // the day it was signed, empty while it is not
}

// AddIssue books that a confirmation sheet was issued, unless the last one says the same; the number is returned.
func (tx *Tx) AddIssue(jobID int64, i Issue) (Issue, error) {
	last, ok, err := lastIssue(tx.ctx, tx.tx, jobID)
	if err != nil {
		return i, err
	}
	if ok && last.Draft == i.Draft && last.Quote == i.Quote && last.Due == i.Due {
		return last, nil
	}
	i.N, i.Day = last.N+1, tx.Today()
	_, err = tx.exec("INSERT INTO issue (job_id, n, draft_n, quote_n, due, day, made) VALUES (?, ?, ?, ?, ?, ?, ?)", jobID, i.N, i.Draft, i.Quote, i.Due, i.Day, tx.stamp())
	return i, err
}

func lastIssue(ctx context.Context, q asker, jobID int64) (i Issue, ok bool, err error) {
	err = q.QueryRowContext(ctx, "SELECT n, draft_n, quote_n, due, day, coalesce(agreed, '') FROM issue WHERE job_id = ? ORDER BY n DESC LIMIT 1", jobID).Scan(&i.N, &i.Draft, &i.Quote, &i.Due, &i.Day, &i.Agreed)
	if isNone(err) {
		return i, false, nil
	}
	return i, err == nil, err
}

// LastIssue is the newest confirmation sheet of a job.
func (b *Book) LastIssue(ctx context.Context, jobID int64) (Issue, bool, error) {
	i, ok, err := lastIssue(ctx, b.read, jobID)
	return i, ok, b.fault(err)
}

// IssueNth is one of a job's confirmation sheets, from 1; ok is false when there is none of that number.
func (b *Book) IssueNth(ctx context.Context, jobID int64, n int) (i Issue, ok bool, err error) {
	err = b.read.QueryRowContext(ctx, "SELECT n, draft_n, quote_n, due, day, coalesce(agreed, '') FROM issue WHERE job_id = ? AND n = ?", jobID, n).Scan(&i.N, &i.Draft, &i.Quote, &i.Due, &i.Day, &i.Agreed)
	if isNone(err) {
		return i, false, nil
	}
	return i, err == nil, b.fault(err)
}

// Agree books that the last confirmation sheet was signed. It refuses when something was changed since.
func (tx *Tx) Agree(number string) (Issue, error) {
	j, err := tx.Job(number)
	if err != nil {
		return Issue{}, err
	}
	i, ok, err := lastIssue(tx.ctx, tx.tx, j.ID)
	if err != nil {
		return i, err
	}
	if !ok {
		return i, mistake("no confirmation sheet was issued for job %s, so there is nothing to sign; clothwright order confirm makes one", number)
	}
	if err := tx.changedSince(j, i); err != nil {
		return i, err
	}
	i.Agreed = tx.Today()
	_, err = tx.exec("UPDATE issue SET agreed = ? WHERE job_id = ? AND n = ?", i.Agreed, j.ID, i.N)
	return i, err
}

// agreed refuses a job whose confirmation sheet is not signed or no longer true.
func (tx *Tx) agreed(j Job) error {
	i, ok, err := lastIssue(tx.ctx, tx.tx, j.ID)
	if err != nil {
		return err
	}
	if !ok || i.Agreed == "" {
		return mistake("job %s is not agreed: issue the confirmation sheet (clothwright order confirm) and book its signature (clothwright order agree)", j.Number)
	}
	return tx.changedSince(j, i)
}

func (tx *Tx) changedSince(j Job, i Issue) error {
	var draft, quote int
	var due string
	err := tx.tx.QueryRowContext(tx.ctx, `SELECT (SELECT coalesce(max(n), 0) FROM draft WHERE job_id = job.id), (SELECT coalesce(max(n), 0) FROM quote WHERE job_id = job.id), coalesce(due, '') FROM job WHERE id = ?`, j.ID).Scan(&draft, &quote, &due)
	if err != nil {
		return err
	}
	var what []string
	if draft != i.Draft {
		what = append(what, "the draft")
	}
	if quote != i.Quote {
		what = append(what, "the price")
	}
	if due != i.Due {
		what = append(what, "the date")
	}
	if len(what) > 0 {
		return mistake("%s of job %s changed since confirmation sheet %d: issue it again and have it signed", strings.Join(what, " and "), j.Number, i.N)
	}
	return nil
}
