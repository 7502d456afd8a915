package web

import (
	"flag"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// -tour makes the pictures of docs/tour.md.
var tour = flag.Bool("tour", false, "make the pictures of docs/tour.md")

func TestTour(t *testing.T) {
	if !*tour {
		t.Skip("the pictures of docs/tour.md are made with -tour")
	}
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	at := func(s string) string { return r.url("/jobs/" + job.ID + "/" + s) }
	take := func(name string) { shot(t, ctx, filepath.Join("..", "docs", "tour", name+".png"), false) }
	desk, hand := screen(1200, 800), chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch)
	live := until(`document.documentElement.classList.contains("live")`)

	do(t, ctx, scheme("light"), desk, open(at("measure")), live, click("#m-wrist_girth"), typeIn(kb.End+kb.Backspace+"9 1/2"), until(`document.querySelector("#note-wrist_girth .note:is(.doubt,.wrong)")`))
	take("measure")
	do(t, ctx, hand, open(at("measure")), live, tap("#m-chest_girth"), until(`!document.querySelector("#fractions").hidden`), evaluate(`document.activeElement.scrollIntoView({block:"center"})`))
	take("measure-phone")
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Measures["wrist_girth"] = Typed{Text: "7"}; return nil }); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, desk, open(at("design")), live, click("a.shows[data-edges]"), evaluate("scrollTo(0,0)"))
	take("design")
	do(t, ctx, open(at("lay")), live, click(".cloth-form .main"), until(`document.querySelectorAll(".laid").length>3`))
	for range 120 {
		pause()
	}
	take("lay")
	do(t, ctx, click("#stop"), until(`!document.querySelector("#stop")`))
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Kept.Steps = map[string]int{"front": 5}; return nil }); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, hand, open(at("table/front")))
	take("chalk-phone")
	do(t, ctx, desk, scheme("dark"), open(at("table/front")), live)
	for range 20 {
		if text(t, ctx, `!!document.querySelector(".rows")`) == "true" {
			break
		}
		n := text(t, ctx, `document.querySelector(".count").textContent`)
		do(t, ctx, click("#go-next"), until(`document.querySelector(".count").textContent!==`+"`"+n+"`"))
	}
	do(t, ctx, evaluate("scrollTo(0,0)"))
	take("chalk-dark")
	do(t, ctx, scheme("light"), open(at("sheets")))
	take("sheets")
}
