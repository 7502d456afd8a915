package book

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// large is a book of 50,000 clients, 200,000 cards and 100,000 jobs, each with a draft and a quotation, made once a run.
var large = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "large-")
	if err != nil {
		return "", err
	}
	largeDir = dir
	path := filepath.Join(dir, "large.book")
	b, err := Create(path, Options{Program: "bench"})
	if err != nil {
		return "", err
	}
	defer b.Close()
	given := []string{"Ọláídé", "Phạm", "Željko", "Mariana", "Tāne", "Δημήτρης", "Олександр", "سلمى", "Ama", "Bích"}
	family := []string{"Ṣóyẹmí", "Ngọc", "Đurić", "Conceição", "Paki", "Καραλής", "Шевчук", "النجار", "Mensah", "Okafor", "Lindqvist", "Haddad", "Tanaka"}
	record := make([]byte, 3000)
	for i := range record {
		record[i] = byte("0123456789,.[]{}"[(i*i+i/7)%16])
	}
	for from := 0; from < 50000; from += 5000 {
		err := b.Write(ctx, "filling", func(tx *Tx) error {
			for i := from; i < from+5000; i++ {
				c, err := tx.AddClient(Client{Code: fmt.Sprintf("C%06d", i), Name: fmt.Sprintf("%s %s-%d", given[i%len(given)], family[(i/10)%len(family)], i)})
				if err != nil {
					return err
				}
				for range 4 {
					k := card("Ama")
					for _, name := range []string{"waist_girth", "hip_girth", "neck_base_girth", "shoulder_width", "back_width", "nape_to_waist", "underarm_depth", "body_length", "upper_arm_girth", "wrist_girth", "hand_girth", "height"} {
						k.Measures = append(k.Measures, Measure{Name: name, Said: "92.5 cm", MM: 925})
					}
					if _, err := tx.AddCard(c.ID, k); err != nil {
						return err
					}
				}
				for n := range 2 {
					j, err := tx.AddJob(c.ID, Job{Number: fmt.Sprintf("J-%d-%d", i, n), Garment: "rib-zip-jacket", Title: "Rib-trimmed zip jacket", Due: march.AddDate(0, 0, i%400).Format(Day)})
					if err != nil {
						return err
					}
					if _, err := tx.exec("INSERT INTO draft (job_id, n, name, file, script_name, script, program, level, record, sha, made) VALUES (?, 1, 'j.toml', ?, 'g', ?, 'bench', 'ok', ?, 'x', '')", j.ID, record[:900], mustKeep(tx), record); err != nil {
						return err
					}
					if _, err := tx.AddQuote(j.ID, Quoted{Draft: 1, Currency: "EUR", Total: 32000, Deposit: 16000, Minutes: 600, Words: "[]", Costing: []byte("c")}); err != nil {
						return err
					}
					if i < 49900 { // all but 200 are long handed over
						if _, err := tx.exec("UPDATE job SET state = 'handed-over' WHERE id = ?", j.ID); err != nil {
							return err
						}
						if err := tx.Pay(j.Number, Payment{Day: "2026-03-02", Amount: 32000, Currency: "EUR"}); err != nil {
							return err
						}
					}
				}
			}
			return nil
		})
		if err != nil {
			return "", err
		}
	}
	return path, nil
})

var largeDir string // thrown away at the end

func mustKeep(tx *Tx) string { sha, _ := tx.keep([]byte("script")); return sha }

func largeBook(b *testing.B) *Book {
	b.Helper()
	path, err := large()
	if err != nil {
		b.Fatal(err)
	}
	x, err := Open(path, Options{Program: "bench"})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { x.Close() })
	return x
}

func BenchmarkLarge(b *testing.B) {
	b.Run("open", func(b *testing.B) {
		largeBook(b)
		path, _ := large()
		for b.Loop() {
			x, err := Open(path, Options{Program: "bench"})
			if err != nil {
				b.Fatal(err)
			}
			x.Close()
		}
		if info, err := os.Stat(path); err == nil {
			b.ReportMetric(float64(info.Size())/1e6, "MB")
		}
	})
	for _, part := range []string{"haddad", "soye 4", "ko", "nobody at all"} {
		b.Run("find "+part, func(b *testing.B) {
			x := largeBook(b)
			for b.Loop() {
				if _, err := x.Find(ctx, part, 50); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	each := func(name string, do func(tx *Tx, n int) error) {
		b.Run(name, func(b *testing.B) {
			x := largeBook(b)
			stamp := time.Now().UnixNano()
			for n := 0; b.Loop(); n++ {
				if err := x.Write(ctx, "bench", func(tx *Tx) error { return do(tx, int(stamp)+n) }); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	each("add client", func(tx *Tx, n int) error { _, err := tx.AddClient(Client{Name: fmt.Sprint("New ", n)}); return err })
	each("add card", func(tx *Tx, n int) error { _, err := tx.AddCard(int64(1+n%50000), card("Ama")); return err })
	each("add job", func(tx *Tx, n int) error {
		_, err := tx.AddJob(int64(1+n%50000), Job{Number: fmt.Sprint("N-", n), Garment: "g"})
		return err
	})
	look := func(name string, do func(x *Book) error) {
		b.Run(name, func(b *testing.B) {
			x := largeBook(b)
			for b.Loop() {
				if err := do(x); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	look("diary", func(x *Book) error { _, err := x.Diary(ctx, "2026-03-09"); return err })
	look("loads", func(x *Book) error { _, _, err := x.Loads(ctx); return err })
	look("owing", func(x *Book) error { _, err := x.Owing(ctx); return err })
	look("one job", func(x *Book) error { _, err := x.Job(ctx, "J-30000-1"); return err })
}

func TestMain(m *testing.M) {
	code := m.Run()
	if largeDir != "" {
		os.RemoveAll(largeDir)
	}
	os.Exit(code)
}
