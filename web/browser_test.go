package web

import (
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	screenshots "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"clothwright/book"
)

// -pictures DIR writes a picture of every page there, at three widths, light and dark.
var pictures = flag.String("pictures", "", "write a picture of every page to this folder")

// -picturesof PATTERN leaves out the pages whose names do not match.
var picturesOf = flag.String("picturesof", "", "make only the pictures of pages whose names match this pattern")

// room is a workroom on a folder of its own that can be stopped and started on the same address.
type room struct {
	t      *testing.T
	dir    string
	addr   string
	folder *Folder
	book   *book.Book // nil where the room keeps none
	http   *http.Server
	server *Server
}

func openRoom(t *testing.T) *room {
	r := &room{t: t, dir: t.TempDir(), addr: "127.0.0.1:0"}
	r.start()
	t.Cleanup(r.stop)
	return r
}

func (r *room) start() {
	r.t.Helper()
	var err error
	if r.folder, err = OpenFolder(r.dir); err != nil {
		r.t.Fatal(err)
	}
	key, err := r.folder.Secret()
	if err != nil {
		r.t.Fatal(err)
	}
	// A room that was stopped comes back at its own address, which some other test's connection may have been given meanwhile.
	l, err := net.Listen("tcp", r.addr)
	for end := time.Now().Add(30 * time.Second); err != nil && time.Now().Before(end); l, err = net.Listen("tcp", r.addr) {
		time.Sleep(50 * time.Millisecond)
	}
	if err != nil {
		r.t.Fatal(err)
	}
	r.addr = l.Addr().String()
	r.server = New(Options{Store: r.folder, Key: key, Book: r.book})
	r.http = r.server.HTTP()
	go r.http.Serve(l)
}

// stop cuts every connection off, as a machine that is switched off does.
func (r *room) stop() {
	r.http.Close()
	r.folder.Close()
}

func (r *room) url(path string) string { return "http://" + r.addr + path }

// only is the one job there is.
func (r *room) only() *Record {
	r.t.Helper()
	jobs, err := r.folder.List()
	if err != nil || len(jobs) != 1 {
		r.t.Fatalf("%d jobs are kept, %v; one is wanted", len(jobs), err)
	}
	return jobs[0]
}

// measured keeps a job with a card that raises no doubt: the 40 in chest that package job's tests draft too.
func (r *room) measured() *Record {
	r.t.Helper()
	rec := &Record{Client: "Invented Client", Number: "T-1", Date: "2026-01-01", Garment: "rib-zip-jacket", Unit: "in", Style: map[string]string{}, Measures: map[string]Typed{}}
	for n, v := range map[string]string{"chest_girth": "40", "shoulder_width": "17", "body_length": "26", "arm_length": "25", "wrist_girth": "7", "neck_base_girth": "16 1/2", "hand_girth": "8 1/2", "upper_arm_girth": "13"} {
		rec.Measures[n] = Typed{Text: v}
	}
	if err := r.folder.Create(rec); err != nil {
		r.t.Fatal(err)
	}
	return rec
}

var browser struct {
	ctx  context.Context
	stop []context.CancelFunc
}

func TestMain(m *testing.M) {
	flag.Parse()
	code := m.Run()
	for i := len(browser.stop) - 1; i >= 0; i-- {
		browser.stop[i]()
	}
	os.Exit(code)
}

// openTab opens a tab of its own in one browser that all tests share.
func openTab(t *testing.T) context.Context { return tabFor(t, 55*time.Second) }

// longTab is openTab for a test that goes through many pages.
func longTab(t *testing.T) context.Context { return tabFor(t, 4*time.Minute) }

func tabFor(t *testing.T, wait time.Duration) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("the browser is left out of short runs")
	}
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed, so the pages are not tried in a browser; on Debian: apt-get install chromium")
	}
	if browser.ctx == nil {
		opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
			chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-dev-shm-usage", true),
			chromedp.Flag("hide-scrollbars", true), chromedp.Flag("force-color-profile", "srgb"), chromedp.Flag("lang", "en-GB"))
		alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
		ctx, stop2 := chromedp.NewContext(alloc)
		if err := chromedp.Do(ctx); err != nil {
			t.Fatalf("chromium does not start: %v", err)
		}
		browser.ctx, browser.stop = ctx, []context.CancelFunc{stop, stop2}
	}
	ctx, stop := chromedp.NewContext(browser.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(stop)
	if err := chromedp.Do(ctx, screen(1280, 900)); err != nil {
		t.Fatal(err)
	}
	ctx, stop2 := context.WithTimeout(ctx, wait)
	t.Cleanup(stop2)
	return ctx
}

// step is one thing done in a tab.
type step = chromedp.Action[chromedp.Void]

// do takes steps and ends the test when one fails, with what the page shows.
func do(t *testing.T, ctx context.Context, steps ...step) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		text, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`location.pathname+"\n"+document.body.innerText.slice(0,900)`))
		t.Fatalf("%v; the page: %s", err, text)
	}
}

// call sends one command of the browser's own protocol.
func call[P, R any](c cdp.Command[P, R], p P) step {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, c, p)
		return err
	})
}

func open(url string) step { return chromedp.Steps(chromedp.Navigate(url), painted) }

// painted waits for the whole of a page, and for the first picture of one of ours: what is pressed or typed before it the browser drops.
var painted = until(`document.readyState==="complete"&&(!document.querySelector("main")||performance.getEntriesByName("first-contentful-paint").length)`)

// click presses with the mouse; on a touch screen use tap.
func click(sel string) step {
	return chromedp.Steps(painted, chromedp.Func(func(ctx context.Context, t *chromedp.Target) (err error) {
		for range 20 { // an element that goes while it is looked for was not pressed
			if _, err = chromedp.Click(chromedp.CSS(sel))(ctx, t); err == nil || !strings.Contains(err.Error(), "Could not find node") {
				return err
			}
			pause()
		}
		return err
	}))
}

// typeIn types keys into whatever has the focus.
func typeIn(keys string) step { return chromedp.KeyEvent(keys) }

// focus puts the focus on a field.
func focus(sel string) step {
	return chromedp.Steps(painted, until(fmt.Sprintf(`(e=>{if(e)e.focus();return e&&document.activeElement===e})(document.querySelector(%q))`, sel)))
}

// phone is a small touch screen held upright.
func phone() step {
	return chromedp.EmulateViewport(360, 740, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait)
}

func screen(w, h int64) step { return chromedp.EmulateViewport(w, h) }

func scheme(s string) step {
	return call(emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: s}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
}

func script(on bool) step {
	return call(emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: !on})
}

// swipe draws a finger across the screen.
func swipe(x0, x1, y float64) step {
	at := func(kind input.DispatchTouchEventType, x ...float64) step {
		p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		for _, v := range x {
			p.TouchPoints = append(p.TouchPoints, &input.TouchPoint{X: v, Y: y})
		}
		return call(input.DispatchTouchEvent, p)
	}
	still := chromedp.Func(func(context.Context, *chromedp.Target) error { pause(); return nil })
	steps := []step{painted, at("touchStart", x0)}
	for k := 1.0; k <= 5; k++ {
		steps = append(steps, still, at("touchMove", x0+(x1-x0)*k/5))
	}
	return chromedp.Steps(append(steps, still, at("touchEnd"))...)
}

// tap touches the middle of an element once a hand could: after it is brought into view, when the page has been painted (a browser
// drops what is pressed before) and the element has kept its place for two frames with nothing over it.
func tap(sel string) step {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := painted(ctx, t); err != nil {
			return err
		}
		for range 100 {
			at, err := chromedp.Evaluate[[]float64](fmt.Sprintf(`(async()=>{
				const frame=()=>new Promise(r=>requestAnimationFrame(r)), e=document.querySelector(%q);
				if(!e) return [];
				e.scrollIntoView({block:"center",behavior:"instant"});
				const was=[e.getBoundingClientRect()];
				for(let i=0;i<3;i++){await frame(); was.push(e.getBoundingClientRect())}
				const b=was[3], x=b.x+b.width/2, y=b.y+b.height/2, over=document.elementFromPoint(x,y);
				return e.isConnected&&was.every(r=>r.x===b.x&&r.y===b.y)&&over&&(e.contains(over)||over.contains(e))?[x,y]:[]})()`, sel), chromedp.EvalAwaitPromise)(ctx, t)
			if err == nil && len(at) == 2 {
				_, err = tapAt(at[0], at[1])(ctx, t)
				return err
			}
			select {
			case <-ctx.Done():
				return fmt.Errorf("%s to be tapped: %w", sel, ctx.Err())
			case <-time.After(25 * time.Millisecond):
			}
		}
		return fmt.Errorf("%s never stood still in view", sel)
	})
}

// tapAt touches a place of the screen.
func tapAt(x, y float64) step {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		for _, e := range []input.DispatchTouchEventParams{{Type: "touchStart", TouchPoints: []*input.TouchPoint{{X: x, Y: y}}}, {Type: "touchEnd", TouchPoints: []*input.TouchPoint{}}} {
			if _, err := cdp.Call(ctx, t, input.DispatchTouchEvent, e); err != nil {
				return err
			}
		}
		return nil
	})
}

// until waits for an expression of the page to become true. A page that is being left is asked again when the next has come.
func until(expr string) step {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		last := errors.New("never")
		for range 400 {
			ok, err := chromedp.Evaluate[bool]("!!("+expr+")")(ctx, t)
			if err == nil && ok {
				return nil
			}
			if err != nil {
				last = err
			}
			select {
			case <-ctx.Done():
				return ctx.Err()
			case <-time.After(25 * time.Millisecond):
			}
		}
		return fmt.Errorf("%s did not come true: %w", expr, last)
	})
}

// text is what an expression of the page gives.
func text(t *testing.T, ctx context.Context, expr string) string {
	t.Helper()
	s, err := chromedp.Run(ctx, chromedp.Evaluate[string]("String("+expr+")"))
	if err != nil {
		t.Fatalf("%s: %v", expr, err)
	}
	return s
}

//go:embed testdata/axe.min.js
var axe string

// accessible runs the rules of axe-core (WCAG 2.2 A and AA, and its best practices) on the page that is open.
func accessible(t *testing.T, ctx context.Context, what string) {
	t.Helper()
	src, err := chromedp.Run(ctx, chromedp.Evaluate[string](axe+`;axe.run(document,{resultTypes:["violations"],rules:{"target-size":{enabled:true}}}).then(r=>JSON.stringify(r.violations.map(v=>({id:v.id,help:v.help,nodes:v.nodes.slice(0,4).map(n=>n.target.join(" ")+": "+n.failureSummary)}))))`, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	var found []struct {
		ID, Help string
		Nodes    []string
	}
	if err := json.Unmarshal([]byte(src), &found); err != nil {
		t.Fatal(err)
	}
	for _, v := range found {
		t.Errorf("%s: %s (%s)\n%s", what, v.Help, v.ID, strings.Join(v.Nodes, "\n"))
	}
}

// shot writes a picture of what the tab shows, or of the whole page.
func shot(t *testing.T, ctx context.Context, file string, whole bool) {
	t.Helper()
	png, err := chromedp.Run(ctx, func(ctx context.Context, t *chromedp.Target) ([]byte, error) {
		r, err := cdp.Call(ctx, t, screenshots.CaptureScreenshot, screenshots.CaptureScreenshotParams{CaptureBeyondViewport: &whole})
		return r.Data, err
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, png, 0o644); err != nil {
		t.Fatal(err)
	}
}

func reload() step { return chromedp.Steps(chromedp.Reload(), painted) }

func pause() { time.Sleep(25 * time.Millisecond) }

func evaluate(expr string) step {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Evaluate[any](expr+";0")(ctx, t)
		return err
	})
}

// thumbs hands in text whole, as the keyboard of a phone does.
func thumbs(s string) step { return call(input.InsertText, input.InsertTextParams{Text: s}) }

// settle waits until the browser no longer takes a touch for the end of a swipe: it lets none press while a page may still be moving.
var settle = chromedp.Func(func(context.Context, *chromedp.Target) error {
	for range 30 {
		pause()
	}
	return nil
})
