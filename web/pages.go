package web

import (
	"net/http"
	"strconv"
	"strings"

	"clothwright/body"
)

// pages are the addresses of the workroom and what answers there.
func (s *Server) pages() map[string]func(*visit) error {
	return map[string]func(*visit) error{
		"GET /{$}":                             (*visit).jobsPage,
		"POST /jobs":                           (*visit).create,
		"POST /language":                       (*visit).chooseLanguage,
		"GET /enter":                           (*visit).doorPage,
		"POST /enter":                          (*visit).enterDoor,
		"POST /leave":                          (*visit).leave,
		"GET /jobs/{id}/measure":               (*visit).measurePage,
		"POST /jobs/{id}/measure":              (*visit).measureSave,
		"GET /jobs/{id}/design":                (*visit).designPage,
		"POST /jobs/{id}/design":               (*visit).designSave,
		"POST /jobs/find":                      (*visit).jobsFind,
		"GET /jobs/{id}/delete":                (*visit).deletePage,
		"POST /jobs/{id}/delete":               (*visit).deleteJob,
		"POST /jobs/{id}/back":                 (*visit).takeBack,
		"POST /jobs/{id}/earlier":              (*visit).earlierDo,
		"GET /jobs/{id}/design/{piece}":        (*visit).tapingPage,
		"GET /jobs/{id}/lay":                   (*visit).layPage,
		"GET /jobs/{id}/lay/{material}":        (*visit).layPage,
		"POST /jobs/{id}/lay/{material}":       (*visit).layDo,
		"GET /jobs/{id}/lay/{material}/events": (*visit).layEvents,
		"GET /jobs/{id}/sheets":                (*visit).sheetsPage,
		"GET /jobs/{id}/sheets/{file}":         (*visit).sheetFile,
		"GET /jobs/{id}/table":                 (*visit).tablePage,
		"GET /jobs/{id}/table/{piece}":         (*visit).chalkPage,
		"POST /jobs/{id}/table/{piece}":        (*visit).chalkMove,
		"POST /jobs/{id}/order":                (*visit).toOrder,
		"GET /order/{order}":                   (*visit).orderPage,
		"POST /order/{order}/move":             (*visit).orderMove,
		"POST /order/{order}/quote":            (*visit).orderQuote,
		"GET /order/{order}/costing":           (*visit).costingPage,
		"POST /order/{order}/due":              (*visit).orderDue,
		"POST /order/{order}/confirm":          (*visit).orderConfirm,
		"POST /order/{order}/agree":            (*visit).orderAgree,
		"POST /order/{order}/pay":              (*visit).orderPay,
		"POST /order/{order}/plan":             (*visit).orderPlan,
		"POST /order/{order}/hold":             (*visit).orderHold,
		"POST /order/{order}/pins":             (*visit).orderPins,
		"POST /order/{order}/redraft":          (*visit).orderRedraft,
		"POST /order/{order}/open":             (*visit).orderOpen,
		"POST /order/{order}/work":             (*visit).orderWork,
		"GET /order/{order}/sheets/{file}":     (*visit).orderSheet,
		"GET /order/{order}/draft/{n}":         (*visit).draftPage,
		"POST /order/{order}/draft/{n}":        (*visit).draftAgain,
		"GET /order/{order}/draft/{n}/{file}":  (*visit).draftFile,
		"GET /week":                            (*visit).weekPage,

		"POST /jobs/{id}/lay/{material}/hand":         (*visit).layHand,
		"GET /jobs/{id}/lay/{material}/widths":        (*visit).widthsPage,
		"POST /jobs/{id}/lay/{material}/widths":       (*visit).widthsDo,
		"GET /jobs/{id}/lay/{material}/widths/events": (*visit).widthsEvents,
		"GET /jobs/{id}/table/lay/{material}":         (*visit).layoutPage,
		"POST /jobs/{id}/table/lay/{material}":        (*visit).layoutMove,

		"GET /clients":                                       (*visit).clientsPage,
		"POST /clients/find":                                 (*visit).clientsFind,
		"GET /clients/new":                                   (*visit).clientNewPage,
		"POST /clients/new":                                  (*visit).clientAdd,
		"GET /clients/{client}":                              (*visit).clientPage,
		"GET /clients/{client}/change":                       (*visit).clientChangePage,
		"POST /clients/{client}/change":                      (*visit).clientChange,
		"POST /clients/{client}/photos":                      (*visit).photoAdd,
		"POST /clients/{client}/copy":                        (*visit).clientCopy,
		"GET /clients/{client}/forget":                       (*visit).forgetPage,
		"POST /clients/{client}/forget":                      (*visit).forget,
		"POST /clients/{client}/order":                       (*visit).orderFromCard,
		"POST /clients/{client}/work":                        (*visit).workFromCard,
		"POST /clients/{client}/card/begin":                  (*visit).cardBegin,
		"GET /clients/{client}/card":                         (*visit).cardWritePage,
		"POST /clients/{client}/card":                        (*visit).cardWrite,
		"POST /clients/{client}/card/drop":                   (*visit).cardDrop,
		"GET /clients/{client}/cards/{card}":                 (*visit).cardPage,
		"GET /clients/{client}/cards/{card}/against/{other}": (*visit).cardPage,
		"POST /clients/{client}/cloth":                       (*visit).clothIn,

		"GET /orders":                  (*visit).ordersPage,
		"POST /orders/find":            (*visit).ordersFind,
		"GET /money":                   (*visit).moneyPage,
		"POST /money/find":             (*visit).moneyFind,
		"POST /money":                  (*visit).pay,
		"GET /cloth":                   (*visit).clothPage,
		"GET /cloth/all":               (*visit).clothAllPage,
		"POST /cloth/{cloth}/out":      (*visit).clothOut,
		"GET /shelf":                   (*visit).shelfPage,
		"POST /shelf/new":              (*visit).shelfNew,
		"POST /shelf/{thing}":          (*visit).shelfMove,
		"GET /times":                   (*visit).timesPage,
		"POST /times":                  (*visit).timeRecord,
		"GET /room":                    (*visit).roomPage,
		"POST /room/hours":             (*visit).roomHours,
		"POST /room/closed":            (*visit).roomClosed,
		"GET /room/tables":             (*visit).tablesPage,
		"GET /room/tables/out/{table}": (*visit).tableOut,
		"POST " + uploadPath:           (*visit).tableIn,
		"POST /room/tables/backup":     (*visit).backup,
	}
}

// jobLine is one job in the list.
type jobLine struct {
	*Record
	State string
	Next  string // the station to open
}

// lineOf says how far a job has come.
func (v *visit) lineOf(r *Record) jobLine {
	l := jobLine{Record: r, Next: "measure"}
	done := 0
	for _, n := range r.Kept.Steps {
		done += n
	}
	switch {
	case done > 0:
		l.Next, l.State = "table", v.words.T("state.chalking", "n", strconv.Itoa(done))
	case v.s.measured(r):
		l.Next, l.State = "design", v.words.T("state.measured")
	default:
		l.State = v.words.T("state.measuring", "n", strconv.Itoa(len(r.Measures)))
	}
	return l
}

func (v *visit) chooseLanguage() error {
	if w := languages[v.form("language")]; w != nil {
		http.SetCookie(v.w, &http.Cookie{Name: languageCookie, Value: w.Lang, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 400 * 24 * 3600})
	}
	back := v.form("back")
	if !strings.HasPrefix(back, "/") || strings.HasPrefix(back, "//") || strings.ContainsAny(back, "\\\r\n") {
		back = "/"
	}
	return v.goTo(back)
}

func (v *visit) doorPage() error {
	if v.s.lock == "" || v.s.door.in(v.id) {
		return v.goTo("/")
	}
	return v.show(doorPage(v.chrome(v.words.T("door.title"), "door", nil).outside(), ""))
}

// outside is the chrome for those who have not signed in.
func (c chrome) outside() chrome { c.Door = false; return c }

// enterDoor tries a passphrase.
func (v *visit) enterDoor() error {
	s := v.s
	if s.lock == "" {
		return v.goTo("/")
	}
	from := addressOf(v.r)
	if wait := s.door.wait(from); wait > 0 {
		v.w.Header().Set("Retry-After", strconv.Itoa(int(wait.Seconds())+1))
		v.w.WriteHeader(http.StatusTooManyRequests)
		return v.show(doorPage(v.chrome(v.words.T("door.title"), "door", nil).outside(), v.words.T("door.wait", "n", strconv.Itoa(int(wait.Seconds())+1))))
	}
	s.door.count(from)
	select {
	case s.door.busy <- struct{}{}:
	case <-v.r.Context().Done():
		return nil
	}
	right := s.lock.Opens(v.r.PostForm.Get("passphrase"))
	<-s.door.busy
	if !right {
		v.w.WriteHeader(http.StatusForbidden)
		return v.show(doorPage(v.chrome(v.words.T("door.title"), "door", nil).outside(), v.words.T("door.wrong")))
	}
	setVisit(v.w, s.door.open(from))
	return v.goTo("/")
}

func (v *visit) leave() error {
	v.s.door.out(v.id)
	setVisit(v.w, newVisit())
	return v.goTo("/")
}

// nameOf is what a job is called on the pages.
func nameOf(r *Record, w *Words) string {
	if r.Client != "" {
		return r.Client
	}
	return w.T("client.none")
}

// currentIf is the value of aria-current.
func currentIf(yes bool) string {
	if yes {
		return "page"
	}
	return "false"
}

// pressed is the value of aria-pressed.
func pressed(yes bool) string { return strconv.FormatBool(yes) }

// nameIn is a measure's name as body has it.
func nameIn(s string) body.Name { return body.Name(s) }

// cutFirst takes the line across the neck off the outline, which is only there to close its filling.
func cutFirst(d string) string { return "M9 58" + strings.TrimPrefix(d, "M0 58 L9 58") }
