package web

import (
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// pagesOf are the pages of a room with a job in it.
func pagesOf(id string) []string {
	out := []string{"/", "/nowhere"}
	for _, s := range stations {
		out = append(out, "/jobs/"+id+"/"+s)
	}
	return append(out, "/jobs/"+id+"/table/front", "/jobs/"+id+"/lay/shell/widths", "/jobs/"+id+"/table/lay/shell", "/jobs/"+id+"/design/front", "/jobs/"+id+"/design/front?a=c2&b=c3")
}

// name is a page's name without the job's.
func pageName(path string) string {
	if path == "/" {
		return "jobs"
	}
	if strings.Contains(path, "/table/lay/") {
		return "layout"
	}
	if i := strings.Index(path, "/design/"); i >= 0 {
		return "taping" + strings.NewReplacer("/", "-", "?", "-", "&", "-").Replace(path[i+len("/design"):])
	}
	return path[strings.LastIndexByte(path, '/')+1:]
}

// The rules are those of axe-core: https://github.com/dequelabs/axe-core, the W3C's WCAG 2.2 at levels A and AA.
func TestNoPageShutsAnybodyOut(t *testing.T) {
	ctx := longTab(t)
	r := openRoom(t)
	job := r.measured()
	if err := r.folder.Change(job.ID, func(j *Record) error {
		j.Measures["hip_girth"], j.Measures["waist_girth"] = Typed{Text: "9 1/3"}, Typed{Text: "60"} // one that cannot be read, one that is doubted
		j.Kept.Steps = map[string]int{"back": 11, "sleeve": 99}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	spoilt := job.ID
	job = &Record{Garment: "rib-zip-jacket", Unit: "cm"}
	if err := r.folder.Create(job); err != nil {
		t.Fatal(err)
	}
	empty := job.ID
	job = r.measured()
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Kept.Steps = map[string]int{"back": 11, "sleeve": 99}; return nil }); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/lay")), click(".cloth-form .main"), until(`document.querySelectorAll(".laid").length>3`), click("#stop"), until(`!document.querySelector("#stop")`))
	door, _, _ := locked(t, "lantern otter gable thimble")
	pages := append(pagesOf(job.ID), "/jobs/"+job.ID+"/table/back", "/jobs/"+job.ID+"/table/sleeve", "/jobs/"+spoilt+"/measure", "/jobs/"+spoilt+"/sheets", "/jobs/"+empty+"/design")
	for i, p := range pages {
		pages[i] = r.url(p)
	}
	pages = append(pages, door.base+"/enter")
	for s, w := range map[string]int64{"light": 360, "dark": 1440} {
		do(t, ctx, scheme(s), screen(w, 900))
		for _, p := range pages {
			do(t, ctx, open(p))
			accessible(t, ctx, fmt.Sprintf("%s, %s, %d wide", pageName(p), s, w))
			// WCAG 2.2, 1.4.10 Reflow: nothing to scroll sideways, down to 320 px.
			do(t, ctx, screen(map[int64]int64{360: 320, 1440: 768}[w], 900))
			if text(t, ctx, `document.documentElement.scrollWidth<=innerWidth`) != "true" {
				t.Errorf("%s: the page is wider than the screen", pageName(p))
			}
			do(t, ctx, screen(w, 900))
		}
	}
}

// The pictures of a job's pages, as they are and in the states that a page is seldom in: nothing yet, something wrong, long names in
// other scripts, a lay, a comparison, a deleted job. TestLedgerPictures makes those of the book's pages.
func TestPictures(t *testing.T) {
	if *pictures == "" {
		t.Skip("pictures are made with -pictures DIR")
	}
	ctx := longTab(t)
	r := openRoom(t)
	named := func(client string, change func(*Record)) string {
		j := r.measured()
		if err := r.folder.Change(j.ID, func(now *Record) error {
			now.Client = client
			if change != nil {
				change(now)
			}
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		return "/jobs/" + j.ID
	}
	plain := named("Αλεξάνδρα Κωνσταντίνου-Παπαδημητρακοπούλου", func(j *Record) { j.Number = "2026/031, second fitting" })
	laid := named("Nguyễn Thị Minh Khai", func(j *Record) { j.Kept.Steps = map[string]int{"front": 5, "back": 99} })
	curved := named("Invented Client", func(j *Record) { j.Kept.Steps = map[string]int{"front": 14, "back": 99} })
	arabic := named("ليلى بنت منصور عبد الرحمن الأندلسية", func(j *Record) {
		j.Number = "A-12"
		j.Measures["wrist_girth"], j.Measures["waist_girth"], j.Measures["hip_girth"] = Typed{Text: "11"}, Typed{Text: "60"}, Typed{Text: "9 1/3"}
	})
	sided := named("Ọlá Àkàndé", func(j *Record) {
		j.Left, j.Right = map[string]Typed{"arm_length": {Text: "26 1/2"}}, map[string]Typed{"arm_length": {Text: "25"}}
		j.Kept.Compare = j.remember("kept", time.Now())
		j.Measures["chest_girth"], j.Style["ease"] = Typed{Text: "42"}, "roomy"
	})
	named("Invented and deleted", func(j *Record) { at := time.Now(); j.Kept.Gone = &at })
	empty := &Record{Garment: "rib-zip-jacket", Unit: "cm"}
	if err := r.folder.Create(empty); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, open(r.url(laid+"/lay")), click(".cloth-form .main"), until(`document.querySelectorAll(".laid").length>3`))
	for range 60 {
		pause()
	}
	do(t, ctx, open(r.url(laid+"/lay/shell")))
	if text(t, ctx, `!!document.querySelector("#stop")`) == "true" {
		do(t, ctx, click("#stop"), until(`!document.querySelector("#stop")`))
	}
	door, _, _ := locked(t, "lantern otter gable thimble")
	pages := []struct{ name, url string }{
		{"jobs", r.url("/")}, {"door", door.base + "/enter"}, {"nowhere", r.url("/nowhere")},
		{"measure", r.url(plain + "/measure")}, {"measure-empty", r.url("/jobs/" + empty.ID + "/measure")}, {"measure-doubt", r.url(arabic + "/measure")}, {"measure-sides", r.url(sided + "/measure")},
		{"design", r.url(plain + "/design")}, {"design-empty", r.url("/jobs/" + empty.ID + "/design")}, {"design-compared", r.url(sided + "/design")},
		{"taping", r.url(plain + "/design/front")}, {"taping-two", r.url(plain + "/design/front?a=c2&b=c4")}, {"taping-compared", r.url(sided + "/design/back?edge=e3")},
		{"lay", r.url(laid + "/lay/shell")}, {"lay-empty", r.url(plain + "/lay")}, {"widths", r.url(laid + "/lay/shell/widths")}, {"lay-walk", r.url(laid + "/table/lay/shell")},
		{"table", r.url(laid + "/table")}, {"chalk", r.url(laid + "/table/front")}, {"chalk-curve", r.url(curved + "/table/front")}, {"chalk-done", r.url(laid + "/table/back")}, {"table-notready", r.url("/jobs/" + empty.ID + "/table")},
		{"sheets", r.url(plain + "/sheets")}, {"delete", r.url(arabic + "/delete")},
	}
	only := regexp.MustCompile(*picturesOf)
	for _, s := range []string{"light", "dark"} {
		for _, w := range []int64{360, 768, 1440} {
			do(t, ctx, scheme(s), screen(w, map[int64]int64{360: 740, 768: 1024, 1440: 900}[w]))
			for _, p := range pages {
				if !only.MatchString(p.name) {
					continue
				}
				do(t, ctx, open(p.url))
				if text(t, ctx, `document.documentElement.scrollWidth<=innerWidth`) != "true" {
					t.Errorf("%s is wider than %d", p.name, w)
				}
				shot(t, ctx, filepath.Join(*pictures, fmt.Sprintf("%s-%d-%s.png", p.name, w, s)), true)
			}
		}
	}
}
