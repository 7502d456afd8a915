package book

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

var ctx = context.Background()

// march is a Monday morning.
var march = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

func init() { passphraseWork = 10 } // the tests have no secrets

func options() Options {
	return Options{Now: func() time.Time { return march }, Program: "test", Wait: 5 * time.Second}
}

func fresh(t testing.TB) *Book {
	t.Helper()
	b, err := Create(filepath.Join(t.TempDir(), "room.book"), options())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func write(t testing.TB, b *Book, do func(tx *Tx) error) {
	t.Helper()
	if err := b.Write(ctx, "a test", do); err != nil {
		t.Fatal(err)
	}
}

func card(by string) Card {
	return Card{Taken: "2026-03-01", By: by, Figure: "women", Measures: []Measure{{Name: "chest_girth", Said: "92 cm", MM: 920}, {Name: "arm_length", Said: "24 in", MM: 609.6, Confirmed: true}}}
}

// filled is a book with something in every table.
func filled(t testing.TB) *Book {
	t.Helper()
	b := fresh(t)
	write(t, b, func(tx *Tx) error {
		for i, name := range []string{"Ọláídé Ṣóyẹmí", "Δημήτρης Καραλής", "Phạm Thị Bích Ngọc"} {
			c, err := tx.AddClient(Client{Name: name, Contact: "bow \"2\"", Note: "<&>\n"})
			if err != nil {
				return err
			}
			k, err := tx.AddCard(c.ID, card("Ama"))
			if err != nil {
				return err
			}
			again := card("Ama")
			again.Corrects, again.Age = k.ID, 14.5
			if _, err := tx.AddCard(c.ID, again); err != nil {
				return err
			}
			number := fmt.Sprintf("J-%d", i+1)
			j, err := tx.AddJob(c.ID, Job{Number: number, Garment: "rib-zip-jacket", Due: "2026-03-20"})
			if err != nil {
				return err
			}
			d := Draft{CardID: k.ID, Name: "j.toml", File: []byte("format = 1\n"), HouseName: "house.toml", House: []byte("tape = \"1/8 in\"\n"), ScriptName: "rib-zip-jacket", Script: []byte("# script\n"), Level: "ok", Record: []byte(`{"job":"` + number + `"}`)}
			if _, err := tx.AddDraft(j.ID, d); err != nil {
				return err
			}
			if _, err := tx.AddQuote(j.ID, Quoted{Draft: 1, Currency: "EUR", Total: 32000, Deposit: 16000, Minutes: 600, Words: `[]`, Costing: []byte("x")}); err != nil {
				return err
			}
			if err := tx.Pay(number, Payment{Day: "2026-03-02", Amount: 16000, Currency: "EUR", Why: "deposit"}); err != nil {
				return err
			}
			if err := tx.RecordTime(number, "Set the zip", 35, "2026-03-02", "Ama"); err != nil {
				return err
			}
			if _, err := tx.AddFit(number, Fit{Day: "2026-03-10", Held: true, By: "Ama", Pins: []Pin{{Said: "sleeve +1/2 in", Place: "sleeve", MM: 12.7, Measure: "arm_length"}, {Said: "left shoulder lower 6 mm", Side: "left", Place: "shoulder", MM: 6}}}); err != nil {
				return err
			}
			if _, err := tx.AddIssue(j.ID, Issue{Draft: 1, Quote: 1, Due: "2026-03-20"}); err != nil {
				return err
			}
			g, err := tx.TakeGoods(c.ID, number, Goods{Day: "2026-03-02", What: "wax print", Length: 3000, Width: 1150, Condition: "sound"})
			if err != nil {
				return err
			}
			if _, err := tx.GiveGoods(g.ID, 2400, "2026-03-05", "cut"); err != nil {
				return err
			}
			if _, err := tx.PutShelf(Shelf{Code: "zip-55", Kind: "zip", Name: "zip 55 cm"}, 4, "", "2026-03-02", "bought"); err != nil {
				return err
			}
			if _, err := tx.PutShelf(Shelf{Code: "zip-55"}, -1, number, "2026-03-05", "for "+name); err != nil {
				return err
			}
			if err := tx.AddPhoto(c.ID, Photo{Job: number, Path: "photos/a.jpg", Day: "2026-03-02"}, []byte("picture")); err != nil {
				return err
			}
		}
		if err := tx.Set(SetHours, "mon-fri 6"); err != nil {
			return err
		}
		return tx.SetFile(SetHouse, []byte("tape = \"1/8 in\"\n"))
	})
	return b
}

func export(t testing.TB, b *Book) string {
	t.Helper()
	var out bytes.Buffer
	if err := b.Export(ctx, &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func code(err error) Code {
	var f *Fault
	if errors.As(err, &f) {
		return f.Code
	}
	return ""
}

func TestTablesAreAllExported(t *testing.T) {
	b := filled(t)
	names, err := list(ctx, b.read, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version'")
	if err != nil {
		t.Fatal(err)
	}
	if len(names) != len(tables) {
		t.Errorf("the book has %d tables, %d are exported: %v", len(names), len(tables), names)
	}
	for _, n := range names {
		var rows int
		b.read.QueryRow("SELECT count(*) FROM " + n).Scan(&rows)
		if !isTable(n) || rows == 0 {
			t.Errorf("table %s is not exported, or the test has nothing in it (%d rows)", n, rows)
		}
	}
}

// An export read into an empty book gives the same book.
func TestExportImport(t *testing.T) {
	b := filled(t)
	was := export(t, b)
	again := fresh(t)
	write(t, again, func(tx *Tx) error { return tx.Import(strings.NewReader(was)) })
	if got := export(t, again); got != was {
		t.Errorf("the book read in exports other bytes (%d, was %d)", len(got), len(was))
	}
	if err := again.Check(ctx); err != nil {
		t.Error(err)
	}
	// Into a book with something in it, cut short, or from the future: one sentence, nothing read in.
	for _, c := range []struct{ name, text, want string }{
		{"cut", was[:len(was)/2], "cut short or damaged"},
		{"newer", strings.Replace(was, `"schema":3`, `"schema":99`, 1), "newer clothwright"},
		{"column", strings.Replace(was, `"contact"`, `"contact); DROP TABLE card; --"`, 1), "which no book has"},
		{"orphan", strings.Replace(was, `[1,1,"2026-03-01"`, `[1,77,"2026-03-01"`, 1), "not whole"},
		{"other", `{"hello":1}`, "no export"},
		{"empty", ``, "cut short"},
	} {
		e := fresh(t)
		err := e.Write(ctx, "test", func(tx *Tx) error { return tx.Import(strings.NewReader(c.text)) })
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
		if n, _ := e.Find(ctx, "", 10); len(n) != 0 {
			t.Errorf("%s: something was read in", c.name)
		}
	}
	if err := b.Write(ctx, "test", func(tx *Tx) error { return tx.Import(strings.NewReader(was)) }); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("into a full book: %v", err)
	}
}

func TestNeverOverwritten(t *testing.T) {
	b := filled(t)
	for _, q := range []string{"UPDATE card SET by = 'x'", "DELETE FROM card", "UPDATE draft SET why = 'x'", "DELETE FROM draft", "UPDATE quote SET total = 1", "UPDATE payment SET amount = 1"} {
		err := b.Write(ctx, "test", func(tx *Tx) error { _, err := tx.exec(q); return err })
		if code(err) != Mistake || !strings.Contains(err.Error(), " is never ") {
			t.Errorf("%s: %v", q, err)
		}
	}
}

// Whoever is forgotten leaves no trace in the file: looked for as bytes.
func TestForget(t *testing.T) {
	b := filled(t)
	write(t, b, func(tx *Tx) error {
		c, err := tx.AddClient(Client{Name: "Zzyxwv Qqqq", Contact: "unique-contact-77"})
		if err != nil {
			return err
		}
		if _, err := tx.AddCard(c.ID, card("unique-taker-77")); err != nil {
			return err
		}
		j, err := tx.AddJob(c.ID, Job{Number: "U-77", Garment: "x"})
		if err != nil {
			return err
		}
		_, err = tx.AddDraft(j.ID, Draft{Name: "u", File: []byte("unique-file-77"), ScriptName: "own.star", Script: []byte("unique-script-77"), Level: "ok", Record: []byte("r")})
		return err
	})
	c, err := b.Client(ctx, "zzyxwv qqqq")
	if err != nil {
		t.Fatal(err)
	}
	var one bytes.Buffer
	if err := b.ExportClient(ctx, &one, c.ID); err != nil || !strings.Contains(one.String(), "unique-contact-77") || strings.Contains(one.String(), "Ngọc") || !strings.Contains(one.String(), "unique-taker-77") {
		t.Errorf("the person's export: %v\n%s", err, one.String())
	}
	// The person's export is an export like any: it can be read into an empty book.
	e := fresh(t)
	write(t, e, func(tx *Tx) error { return tx.Import(&one) })
	write(t, b, func(tx *Tx) error { _, err := tx.Forget(c.Code); return err })
	if err := b.Scrub(ctx); err != nil {
		t.Fatal(err)
	}
	for _, suffix := range []string{"", "-wal"} {
		raw, _ := os.ReadFile(b.path + suffix)
		for _, trace := range []string{"Zzyxwv", "zzyxwv", "unique-contact-77", "unique-taker-77", "unique-file-77", "unique-script-77", "U-77"} {
			if bytes.Contains(raw, []byte(trace)) {
				t.Errorf("%q is still in the file%s", trace, suffix)
			}
		}
	}
	if err := b.Check(ctx); err != nil {
		t.Error(err)
	}
	write(t, b, func(tx *Tx) error {
		gone, err := tx.Forget("C0001")
		if gone["card"] != 2 || gone["job"] != 1 || gone["draft"] != 1 || gone["pin"] != 2 {
			t.Errorf("%v went", gone)
		}
		return err
	})
	if s, ok, _ := b.Thing(ctx, "zip-55"); !ok || s.Left != 9 {
		t.Errorf("the shelf has %d zips after a client was forgotten; 3 x 4 were put there and 3 taken", s.Left)
	}
}

func TestStateLine(t *testing.T) {
	b := filled(t)
	move := func(to State) error {
		return b.Write(ctx, "test", func(tx *Tx) error { _, err := tx.Move("J-1", to, ""); return err })
	}
	agree := func() error {
		return b.Write(ctx, "test", func(tx *Tx) error { _, err := tx.Agree("J-1"); return err })
	}
	want := func(err error, words string) {
		t.Helper()
		if words == "" && err != nil || words != "" && (err == nil || !strings.Contains(err.Error(), words)) {
			t.Errorf("%v; want %q", err, words)
		}
	}
	want(move(BeingCut), "from there it can go to confirmed, dropped")
	want(move("sewn"), "is no state")
	want(move(Confirmed), "is not agreed")
	want(agree(), "")
	write(t, b, func(tx *Tx) error { return tx.Promise("J-1", "2026-03-27") })
	want(move(Confirmed), "the date of job J-1 changed since confirmation sheet 1")
	write(t, b, func(tx *Tx) error {
		j, _ := tx.Job("J-1")
		i, err := tx.AddIssue(j.ID, Issue{Draft: 1, Quote: 1, Due: "2026-03-27"})
		if i.N != 2 {
			t.Errorf("the second issue has number %d", i.N)
		}
		if i, _ := tx.AddIssue(j.ID, Issue{Draft: 1, Quote: 1, Due: "2026-03-27"}); i.N != 2 {
			t.Errorf("the same sheet again has number %d", i.N)
		}
		return err
	})
	want(move(Confirmed), "is not agreed")
	want(agree(), "")
	for _, s := range []State{Confirmed, BeingCut, Fitting, BeingCut, Fitting, Finishing, Ready, HandedOver} {
		want(move(s), "")
	}
	want(move(Ordered), "that is the end of it")
	// Every state but the last two leads on, and every one can be reached.
	reached := map[State]bool{Ordered: true}
	for _, m := range Moves {
		for _, to := range m.To {
			reached[to] = true
		}
	}
	for _, m := range Moves {
		if !reached[m.From] || len(m.To) == 0 && m.From != HandedOver && m.From != Dropped {
			t.Errorf("%s cannot be reached or left", m.From)
		}
	}
}

func TestFind(t *testing.T) {
	b := filled(t)
	for part, want := range map[string]string{"ola": "Ọláídé Ṣóyẹmí", "soye ola": "Ọláídé Ṣóyẹmí", "pham": "Phạm Thị Bích Ngọc", "NGỌC": "Phạm Thị Bích Ngọc", "ngoc": "Phạm Thị Bích Ngọc", "καραλης": "Δημήτρης Καραλής", "δημητρ": "Δημήτρης Καραλής"} {
		got, err := b.Find(ctx, part, 10)
		if err != nil || len(got) != 1 || got[0].Name != want {
			t.Errorf("%q finds %v, %v; want %s", part, got, err, want)
		}
	}
	if got, _ := b.Find(ctx, "100%", 10); len(got) != 0 {
		t.Errorf("a sign finds %v", got)
	}
	if got, _ := b.Find(ctx, "", 2); len(got) != 2 {
		t.Errorf("at most 2 are wanted, %d come", len(got))
	}
}

func TestCompare(t *testing.T) {
	a, b := card("A"), card("B")
	b.Measures = []Measure{{Name: "chest_girth", Said: "94 cm", MM: 940}, {Name: "wrist_girth", Said: "15 cm", MM: 150}, {Name: "arm_length", Said: "609.6 mm", MM: 609.6}}
	got := fmt.Sprint(Compare(a, b))
	if want := "[{chest_girth 92 cm 94 cm 20} {wrist_girth  15 cm 0}]"; got != want {
		t.Errorf("%s; want %s", got, want)
	}
}

func TestPins(t *testing.T) {
	length := func(s string) (float64, error) {
		switch s {
		case "1/2 in":
			return 12.7, nil
		case "6 mm":
			return 6, nil
		}
		return 0, fmt.Errorf("%q is no length", s)
	}
	for said, want := range map[string]string{
		"sleeve +1/2 in":           "sleeve 12.7 arm_length ",
		"sleeve  shorter 6 mm":     "sleeve -6 arm_length ",
		"left shoulder lower 6 mm": "shoulder 6 left.shoulder_slope left",
		"Length longer 6 mm":       "length 6 body_length ",
		"shoulders narrower 6 mm":  "shoulders -6 shoulder_width ",
		"right sleeve +6 mm":       "sleeve 6 right.arm_length right",
		"upper arm out 6 mm":       "upper arm 6 upper_arm_girth ",
		"collar lower 6 mm":        "collar -6 style.collar_height ",
		"right collar lower 6 mm":  "collar -6  right",
		"hem out 6 mm":             "hem 6  ",
	} {
		p, err := ParsePin(said, length)
		if got := fmt.Sprint(p.Place, " ", p.MM, " ", p.Measure, " ", p.Side); err != nil || got != want {
			t.Errorf("%q is %q, %v; want %q", said, got, err, want)
		}
	}
	for said, want := range map[string]string{"knee +6 mm": "names no place", "sleeve 6 mm": "which way", "sleeve +soon": "no length", "": "names no place"} {
		if _, err := ParsePin(said, length); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want %q", said, err, want)
		}
	}
}

func TestCarried(t *testing.T) {
	b := filled(t)
	carried, byHand, err := b.Adjustments(ctx, 1, "rib-zip-jacket", 0)
	if err != nil || len(carried) != 2 || carried[0].MM != 12.7 || carried[1].Measure != "left.shoulder_slope" || len(byHand) != 0 {
		t.Fatalf("%v %v %v", carried, byHand, err)
	}
	src := []byte("format = 1\njob = \"x\"\nclient = \"A \\\"B\\\"\"\ngarment = \"g\"\nunit = \"in\"\n[measures]\narm_length = 24\nchest_girth = { size = \"92 cm\", confirmed = true }\n[style]\nease = \"trim\"\npocket = false\n")
	f, err := ReadJobFile(src, []Measure{{Name: "arm_length", MM: 609.6}, {Name: "chest_girth", MM: 920, Confirmed: true}})
	if err != nil {
		t.Fatal(err)
	}
	if left := f.Adjust(append(carried, Adjustment{Measure: "hip_girth", MM: 5})); len(left) != 2 {
		t.Errorf("a measure that was not taken, and a slope that is not known yet: %v is left", left)
	}
	got := string(f.Bytes())
	for _, want := range []string{"arm_length = \"622.3 mm\"\n", "chest_girth = { size = \"92 cm\", confirmed = true }\n", "ease = \"trim\"\n", "pocket = false\n", "client = \"A \\\"B\\\"\"\n", "# arm_length: 24 in on the card, +12.7 mm after the fitting: sleeve +1/2 in (2026-03-10).\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
}

// What a job file says of one side alone, and what was pinned on one side, is in the next draft's file: nothing is dropped.
func TestCarriedOnOneSide(t *testing.T) {
	src := []byte("job = \"x\"\ngarment = \"g\"\nunit = \"in\"\nsize_table = \"ansur2-men\"\nsize = \"40\"\n[measures]\narm_length = 24\nwrist_girth = 7\n[left]\nshoulder_slope = 22\nwrist_girth = { size = \"7 1/4 in\", confirmed = true }\n")
	f, err := ReadJobFile(src, []Measure{{Name: "arm_length", MM: 609.6}, {Name: "wrist_girth", MM: 177.8}, {Name: "left.shoulder_slope", MM: 22},
		{Name: "left.wrist_girth", MM: 184.15, Confirmed: true}, {Name: "right.wrist_girth", MM: 175}})
	if err != nil {
		t.Fatal(err)
	}
	left := f.Adjust([]Adjustment{
		{Measure: "right.arm_length", MM: 6, Said: []string{"right sleeve +6 mm"}},
		{Measure: "arm_length", MM: 10, Said: []string{"sleeve +10 mm"}},
		{Measure: "left.wrist_girth", MM: 5, Said: []string{"left wrist out 5 mm"}},
		{Measure: "left.hand_girth", MM: 5, Said: []string{"left hand"}},
		{Measure: "wrist_girth", MM: 2, Said: []string{"wrist out 2 mm"}},
	})
	if len(left) != 1 || left[0].Measure != "left.hand_girth" {
		t.Errorf("what nobody measured is left for the hand: %v", left)
	}
	got := string(f.Bytes())
	for _, want := range []string{
		"size_table = \"ansur2-men\"\nsize = \"40\"\n",
		"[measures]\narm_length = \"619.6 mm\"\n",
		"wrist_girth = \"179.8 mm\"\n",
		// 7 1/4 in are 184.15 mm; what both sides are let out by comes on top of a side's own.
		"[left]\nshoulder_slope = \"22\"\nwrist_girth = { size = \"191.15 mm\", confirmed = true }\n",
		"[right]\narm_length = \"625.6 mm\"\nwrist_girth = \"177 mm\"\n",
		"# right.arm_length: 619.6 mm before, +6 mm after the fitting: right sleeve +6 mm.\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
}

// Worked by hand, ours: 6 hours Monday to Friday from Monday 2 March 2026. A of 10 h due Wednesday (18 h there), B of 20 h due Friday (30 h):
// both hold exactly. One hour more for Friday breaks B, or itself; for Monday 9 March (36 h) it does not.
func TestPromises(t *testing.T) {
	h, err := ParseHours("mon-fri 6", "")
	if err != nil {
		t.Fatal(err)
	}
	loads := []Load{{Job: "A", Due: "2026-03-04", Minutes: 600}, {Job: "B", Due: "2026-03-06", Minutes: 1200}}
	if late := Broken(loads, h, "2026-03-02"); len(late) != 0 {
		t.Errorf("%v is late", late)
	}
	if got := fmt.Sprint(NewlyBroken(loads, Load{Job: "C", Due: "2026-03-05", Minutes: 60}, h, "2026-03-02")); got != "[{B  2026-03-06 60}]" {
		t.Errorf("C before B breaks %s", got)
	}
	if got := Earliest(loads, h, "2026-03-02", "", 60); got != "2026-03-09" {
		t.Errorf("an hour can be promised for %s; want Monday", got)
	}
	closed, _ := ParseHours("mon-fri 6", "2026-03-09..2026-03-11")
	if got := Earliest(loads, closed, "2026-03-02", "", 60); got != "2026-03-12" {
		t.Errorf("with three days closed it is %s", got)
	}
	if got := Earliest(loads, h, "2026-03-02", "2026-03-14", 60); got != "2026-03-16" {
		t.Errorf("not before Saturday the 14th it is %s; want Monday the 16th", got)
	}
	if got := Earliest(loads, Hours{}, "2026-03-02", "", 60); got != "" {
		t.Errorf("without hours %s is promised", got)
	}
	// What is late already does not make every new date impossible.
	loads[0].Minutes = 6000
	if got := Earliest(loads, h, "2026-03-02", "", 60); got == "" || got < "2026-03-27" {
		t.Errorf("behind 120 hours of work an hour is promised for %q", got)
	}
	for _, bad := range []string{"mon", "moon 6", "mon 25", "mon -1", "mon 6 h"} {
		if _, err := ParseHours(bad, ""); err == nil {
			t.Errorf("%q is taken for hours", bad)
		}
	}
	if w, _ := ParseHours("sat-mon 2, wed 1.5", ""); w.Minutes != [7]int{120, 120, 0, 90, 0, 0, 120} {
		t.Errorf("%v", w.Minutes)
	}
}

func TestThin(t *testing.T) {
	var times []time.Time
	for d := 0; d < 800; d++ {
		times = append(times, march.AddDate(0, 0, -d), march.AddDate(0, 0, -d).Add(-time.Hour))
	}
	kept := Thin(times)
	if len(kept) < 12 || len(kept) > 24 || !kept[0].Equal(march) {
		t.Errorf("%d are kept of %d, the newest of %s", len(kept), len(times), kept[0])
	}
	days := map[string]int{}
	for _, k := range kept {
		days[k.Format(Day)]++
	}
	for d := 0; d < 7; d++ {
		if days[march.AddDate(0, 0, -d).Format(Day)] != 1 {
			t.Errorf("of the day %d days back %d are kept", d, days[march.AddDate(0, 0, -d).Format(Day)])
		}
	}
	if oldest := kept[len(kept)-1]; oldest.After(march.AddDate(0, -10, 0)) {
		t.Errorf("the oldest kept is of %s", oldest)
	}
}

func TestBackupAndRestore(t *testing.T) {
	b := filled(t)
	dir := t.TempDir()
	for _, pass := range []string{"", "a long enough phrase"} {
		at := filepath.Join(dir, "copy"+pass)
		if err := b.Backup(ctx, at, pass); err != nil {
			t.Fatal(err)
		}
		if info, _ := os.Stat(at); info.Mode().Perm() != 0o600 {
			t.Errorf("the backup's mode is %v", info.Mode())
		}
		if err := b.Backup(ctx, at, pass); code(err) != Exists {
			t.Errorf("over a file: %v", err)
		}
		to := at + ".restored"
		if pass != "" {
			raw, _ := os.ReadFile(at)
			if bytes.Contains(raw, []byte("Ngọc")) || bytes.Contains(raw, []byte("SQLite")) {
				t.Error("the encrypted backup can be read")
			}
			for _, wrong := range []string{"", "another phrase"} {
				if err := Restore(ctx, at, to, wrong); code(err) != Mistake {
					t.Errorf("with %q: %v", wrong, err)
				}
			}
		}
		if err := Restore(ctx, at, to, pass); err != nil {
			t.Fatal(err)
		}
		r, err := Open(to, options())
		if err != nil {
			t.Fatal(err)
		}
		if export(t, r) != export(t, b) {
			t.Error("the restored book is another")
		}
		r.Close()
		if err := Restore(ctx, at, to, pass); code(err) != Exists {
			t.Errorf("over a book: %v", err)
		}
		// A damaged backup is found out and nothing is left behind.
		raw, _ := os.ReadFile(at)
		for i := len(raw) / 2; i < len(raw)/2+4096 && i < len(raw); i++ {
			raw[i] ^= 0x55
		}
		os.WriteFile(at+".bad", raw, 0o600)
		if err := Restore(ctx, at+".bad", to+".bad", pass); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("a damaged backup: %v", err)
		}
		if _, err := os.Stat(to + ".bad"); err == nil {
			t.Error("a damaged backup was restored")
		}
	}
	left, _ := filepath.Glob(filepath.Join(dir, ".*"))
	if len(left) > 0 {
		t.Errorf("%v is left behind", left)
	}
	made, _, err := b.BackupInto(ctx, filepath.Join(dir, "daily"), "")
	if err != nil || filepath.Base(made) != "room-2026-03-02-0900.book" || !b.BackedUpOn(filepath.Join(dir, "daily"), "2026-03-02") {
		t.Errorf("%s, %v", made, err)
	}
	if made, _, err = b.BackupInto(ctx, filepath.Join(dir, "daily"), ""); err != nil || filepath.Base(made) != "room-2026-03-02-0900.2.book" {
		t.Errorf("%s, %v", made, err)
	}
}

// What cannot be used is one sentence, and the file is as it was to the last byte.
func TestUntouched(t *testing.T) {
	dir := t.TempDir()
	make := func(name string, change func(path string)) string {
		b := filled(t)
		path := filepath.Join(dir, name)
		if err := b.copyTo(ctx, path); err != nil {
			t.Fatal(err)
		}
		change(path)
		return path
	}
	sqlOn := func(query string) func(string) {
		return func(path string) {
			db, err := sql.Open("sqlite", dsn(path, "mode=rw"))
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			if _, err := db.Exec(query); err != nil {
				t.Fatal(err)
			}
		}
	}
	scribble := func(from, to float64) func(string) {
		return func(path string) {
			raw, _ := os.ReadFile(path)
			for i := int(from * float64(len(raw))); i < int(to*float64(len(raw))); i++ {
				raw[i] = byte(i * 7)
			}
			os.WriteFile(path, raw, 0o600)
		}
	}
	for _, c := range []struct {
		name   string
		change func(string)
		code   Code
		words  string
	}{
		{"newer", sqlOn("INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)"), Newer, "newer clothwright (schema 99"},
		{"other", sqlOn("PRAGMA application_id = 7"), NotABook, "database of another program"},
		{"head", scribble(0, 0.001), NotABook, "its first bytes"},
		{"damaged", scribble(0.3, 0.9), Damaged, "is damaged"},
		{"short", func(path string) { os.Truncate(path, 12000) }, Damaged, "is damaged"},
		{"tiny", func(path string) { os.Truncate(path, 50) }, NotABook, "its first bytes"},
		{"locked", func(path string) { os.Chmod(path, 0o400) }, WriteProtected, "write-protected"},
	} {
		path := make(c.name, c.change)
		was, _ := os.ReadFile(path)
		b, err := Open(path, options())
		if err == nil {
			b.Close()
		}
		if code(err) != c.code || err == nil || !strings.Contains(err.Error(), c.words) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v; want %q", c.name, err, c.words)
		}
		if now, _ := os.ReadFile(path); !bytes.Equal(was, now) {
			t.Errorf("%s: the file was changed", c.name)
		}
	}
	if _, err := Open(filepath.Join(dir, "none"), options()); code(err) != NoFile {
		t.Errorf("no file: %v", err)
	}
	if _, err := Open(dir, options()); code(err) != NotABook {
		t.Errorf("a folder: %v", err)
	}
	if _, err := Create(filepath.Join(dir, "newer"), options()); code(err) != Exists {
		t.Errorf("made over a file: %v", err)
	}
}

// A disk that is full, as SQLite meets it: first its own limit of pages, then (where the machine lets us) a real small disk.
func TestDiskFull(t *testing.T) {
	b := filled(t)
	was := export(t, b)
	var pages int
	b.write.QueryRow("PRAGMA page_count").Scan(&pages)
	if _, err := b.write.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages+5)); err != nil {
		t.Fatal(err)
	}
	fill := func(tx *Tx) error {
		for i := 0; i < 5000; i++ {
			if _, err := tx.AddClient(Client{Name: strings.Repeat("x", 180)}); err != nil {
				return err
			}
		}
		return nil
	}
	if err := b.Write(ctx, "filling", fill); code(err) != Full {
		t.Errorf("%v", err)
	}
	if export(t, b) != was || b.Check(ctx) != nil {
		t.Error("something of it is in the book")
	}
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=700k", "none", disk).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be made here, so a real full disk is not tried: %s", bytes.TrimSpace(out))
	}
	defer exec.Command("umount", disk).Run()
	s, err := Create(filepath.Join(disk, "room.book"), options())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	write(t, s, func(tx *Tx) error { _, err := tx.AddClient(Client{Name: "Kept"}); return err })
	if err := s.Write(ctx, "filling", fill); code(err) != Full {
		t.Errorf("a full disk: %v", err)
	}
	if got, err := s.Find(ctx, "", 10); err != nil || len(got) != 1 || s.Check(ctx) != nil {
		t.Errorf("after a full disk: %v, %v", got, err)
	}
}

func TestModes(t *testing.T) {
	b := filled(t)
	for _, suffix := range []string{"", "-wal", "-shm"} {
		if info, err := os.Stat(b.path + suffix); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s%s: %v, %v", b.path, suffix, info.Mode(), err)
		}
	}
	b.Close()
	os.Chmod(b.path, 0o644)
	again, err := Open(b.path, options())
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if info, _ := os.Stat(b.path); info.Mode().Perm() != 0o600 {
		t.Errorf("a book that others could read stays so: %v", info.Mode())
	}
}

// A second writer waits, then is told who writes; a reader never waits; what was held back is not lost.
func TestTwoWriters(t *testing.T) {
	b := fresh(t)
	o := options()
	o.Wait = 300 * time.Millisecond
	second, err := Open(b.path, o)
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	add := func(tx *Tx) error { _, err := tx.AddClient(Client{Name: "Someone"}); return err }
	err = b.Write(ctx, "reading a long table in", func(tx *Tx) error {
		err := second.Write(ctx, "test", add)
		if code(err) != Busy || !strings.Contains(err.Error(), "reading a long table in (process ") {
			t.Errorf("the second writer hears: %v", err)
		}
		if _, err := second.Find(ctx, "", 1); err != nil {
			t.Errorf("the reader hears: %v", err)
		}
		return add(tx)
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := second.Write(ctx, "test", add); err != nil {
		t.Error(err)
	}
	var all sync.WaitGroup
	second.o.Wait = 10 * time.Second
	third, err := Open(b.path, options())
	if err != nil {
		t.Fatal(err)
	}
	defer third.Close()
	for _, w := range []*Book{b, third} {
		for range 2 {
			all.Go(func() {
				for range 20 {
					if err := w.Write(ctx, "test", add); err != nil {
						t.Error(err)
					}
				}
			})
		}
	}
	all.Wait()
	if got, _ := b.Find(ctx, "", 1000); len(got) != 82 {
		t.Errorf("%d clients are in the book; 82 were added", len(got))
	}
}

// An older book is copied, then brought up to date with everything that was in it.
func TestMigrate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.book")
	b := old(t, path)
	b.Close()
	if _, err := Open(path, Options{ReadOnly: true}); code(err) != Older {
		t.Errorf("looking into an older book: %v", err)
	}
	now, err := Open(path, options())
	if err != nil {
		t.Fatal(err)
	}
	defer now.Close()
	if got, err := now.Find(ctx, "early", 10); err != nil || len(got) != 1 {
		t.Errorf("%v, %v", got, err)
	}
	if v, _ := schemaOf(ctx, now.read); v != Schema {
		t.Errorf("the schema is %d", v)
	}
	if err := verify(ctx, path+".before-schema-3"); err != nil {
		t.Error(err)
	}
}

// old makes a book of schema 1 with a client in it.
func old(t testing.TB, path string) *Book {
	t.Helper()
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	b := &Book{path: path, o: options()}
	var err error
	if b.write, err = sql.Open("sqlite", dsn(path, "mode=rw", "_pragma=journal_mode(WAL)", "_pragma=foreign_keys(1)", "_txlock=immediate")); err != nil {
		t.Fatal(err)
	}
	b.write.SetMaxOpenConns(1)
	if err := b.migrateTo(ctx, 1); err != nil {
		t.Fatal(err)
	}
	write(t, b, func(tx *Tx) error { _, err := tx.AddClient(Client{Name: "Early"}); return err })
	return b
}

// The sqlite3 shell reads the book and finds it sound: https://www.sqlite.org/cli.html
func TestShell(t *testing.T) {
	shell, err := exec.LookPath("sqlite3")
	if err != nil {
		t.Skip("the sqlite3 shell is not installed, so the book is not read by it")
	}
	b := filled(t)
	b.Close()
	out, err := exec.Command(shell, b.path, "PRAGMA integrity_check; PRAGMA foreign_key_check; SELECT name FROM client ORDER BY id LIMIT 1; SELECT count(*) FROM card; PRAGMA journal_mode;").CombinedOutput()
	if got, want := string(out), "ok\nỌláídé Ṣóyẹmí\n6\nwal\n"; err != nil || got != want {
		t.Errorf("sqlite3 says %q, %v; want %q", got, err, want)
	}
}

func TestMistakes(t *testing.T) {
	b := filled(t)
	for want, do := range map[string]func(tx *Tx) error{
		"stands on one line":      func(tx *Tx) error { _, err := tx.AddClient(Client{Name: "one\ntwo"}); return err },
		"1 to 200 letters":        func(tx *Tx) error { _, err := tx.AddClient(Client{}); return err },
		"is Ọláídé Ṣóyẹmí's":      func(tx *Tx) error { _, err := tx.AddClient(Client{Name: "x", Code: "C0001"}); return err },
		"who held the tape":       func(tx *Tx) error { _, err := tx.AddCard(1, card("")); return err },
		"no measure":              func(tx *Tx) error { _, err := tx.AddCard(1, Card{By: "x"}); return err },
		"none of this client's":   func(tx *Tx) error { c := card("x"); c.Corrects = 3; _, err := tx.AddCard(1, c); return err },
		"job J-1 already":         func(tx *Tx) error { _, err := tx.AddJob(1, Job{Number: "J-1"}); return err },
		"quoted in EUR":           func(tx *Tx) error { return tx.Pay("J-1", Payment{Amount: 1, Currency: "USD"}) },
		"no job X":                func(tx *Tx) error { return tx.Pay("X", Payment{}) },
		"are there":               func(tx *Tx) error { _, err := tx.GiveGoods(1, 700, "2026-03-02", "x"); return err },
		"3 are there|9 are there": func(tx *Tx) error { _, err := tx.PutShelf(Shelf{Code: "zip-55"}, -20, "", "d", ""); return err },
		"new on the shelf":        func(tx *Tx) error { _, err := tx.PutShelf(Shelf{Code: "n"}, 2, "", "d", ""); return err },
		"another client's": func(tx *Tx) error {
			_, err := tx.TakeGoods(2, "J-1", Goods{What: "x", Condition: "y", Length: 1, Width: 1})
			return err
		},
		"1 to 6000": func(tx *Tx) error { return tx.RecordTime("J-1", "Set the zip", 0, "d", "") },
	} {
		err := b.Write(ctx, "test", do)
		ok := false
		for _, w := range strings.Split(want, "|") {
			ok = ok || err != nil && strings.Contains(err.Error(), w)
		}
		if code(err) != Mistake || !ok {
			t.Errorf("%v; want %q", err, want)
		}
	}
	if err := b.Check(ctx); err != nil {
		t.Error(err)
	}
}

func TestDraftAgain(t *testing.T) {
	b := filled(t)
	d, err := b.Draft(ctx, 1, 0)
	if err != nil || string(d.Record) != `{"job":"J-1"}` || string(d.House) != "tape = \"1/8 in\"\n" || string(d.Script) != "# script\n" || d.Program != "test" {
		t.Errorf("%+v, %v", d, err)
	}
	if owing, err := b.Owing(ctx); err != nil || len(owing) != 3 || owing[0].Owes() != 16000 {
		t.Errorf("%v, %v", owing, err)
	}
	entries, err := b.Diary(ctx, "2026-03-20")
	if err != nil || len(entries) != 3 {
		t.Errorf("%v, %v", entries, err)
	}
	loads, _, err := b.Loads(ctx)
	if err != nil || len(loads) != 3 || loads[0].Minutes != 565 {
		t.Errorf("%v, %v; 600 min quoted, 35 recorded", loads, err)
	}
}
