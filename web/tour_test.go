package web

import (
	"flag"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// -tour makes the pictures of docs/tour.md.
var tour = flag.Bool("tour", false, "make the pictures of docs/tour.md")

func TestTour(t *testing.T) {
	if !*tour {
		t.Skip("the pictures of docs/tour.md are made with -tour")
	}
	ctx := longTab(t)
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
	do(t, ctx, open(at("design/front?a=c2&b=c3")), until(`document.querySelector(".taped")`))
	take("taping")
	do(t, ctx, hand, open(at("design/sleeve?a=c0&b=c1")), until(`document.querySelector(".taped")`))
	take("taping-phone")
	if err := r.folder.Change(job.ID, func(j *Record) error {
		j.Kept.Compare = j.remember("kept", time.Now())
		j.Style["ease"], j.Measures["arm_length"] = "roomy", Typed{Text: "26"}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, desk, open(at("design")), live, evaluate(`document.querySelector("#compare").scrollIntoView({block:"start"})`))
	take("compared")
	do(t, ctx, open(at("design/back")), until(`document.querySelector(".board .earlier")`))
	take("compared-piece")
	do(t, ctx, open(at("lay")), live, click(".cloth-form .main"), until(`document.querySelectorAll(".laid").length>3`))
	for range 120 {
		pause()
	}
	take("lay")
	do(t, ctx, evaluate(`document.querySelector("#stop")?.click()`), until(`!document.querySelector("#stop")`), open(at("lay/shell")), movable)
	x0, y0 := middle(t, ctx, "sleeve")
	do(t, ctx, mouse(input.DispatchMouseEventTypeMousePressed, x0, y0))
	for _, q := range between(x0, y0, x0+90, y0+14) {
		do(t, ctx, mouse(input.DispatchMouseEventTypeMouseMoved, q[0], q[1]))
	}
	take("by-hand")
	do(t, ctx, mouse(input.DispatchMouseEventTypeMouseMoved, x0, y0), mouse(input.DispatchMouseEventTypeMouseReleased, x0, y0))
	do(t, ctx, hand, open(at("table/lay/shell")), until(`document.querySelector("main h1")`))
	take("lay-walk")
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Kept.Steps = map[string]int{"front": 5}; return nil }); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, hand, open(at("table/front")))
	take("chalk-phone")
	do(t, ctx, desk, scheme("dark"))
	for n := range 30 { // to the first curve
		if err := r.folder.Change(job.ID, func(j *Record) error { j.Kept.Steps = map[string]int{"front": n}; return nil }); err != nil {
			t.Fatal(err)
		}
		do(t, ctx, open(at("table/front")), live)
		if text(t, ctx, `!!document.querySelector(".rows")`) == "true" {
			break
		}
	}
	do(t, ctx, evaluate("scrollTo(0,0)"))
	take("chalk-dark")
	do(t, ctx, scheme("light"), open(at("sheets")))
	take("sheets")
}
