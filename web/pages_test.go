package web

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
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
	ctx := openTab(t)
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

func TestPictures(t *testing.T) {
	if *pictures == "" {
		t.Skip("pictures are made with -pictures DIR")
	}
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	for _, s := range []string{"light", "dark"} {
		for _, w := range []int64{360, 768, 1440} {
			do(t, ctx, scheme(s), screen(w, map[int64]int64{360: 740, 768: 1024, 1440: 900}[w]))
			for _, p := range pagesOf(job.ID) {
				picture(t, ctx, r.url(p), filepath.Join(*pictures, fmt.Sprintf("%s-%d-%s.png", pageName(p), w, s)))
			}
		}
	}
}

func picture(t *testing.T, ctx context.Context, url, file string) {
	t.Helper()
	do(t, ctx, open(url))
	shot(t, ctx, file, false)
}
