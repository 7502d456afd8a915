// The live parts of the pages. Without this file they work by ordinary forms.
"use strict";
(() => {
  const one = (sel, from = document) => from.querySelector(sel);
  const all = (sel, from = document) => [...from.querySelectorAll(sel)];
  const told = text => { const p = one("#told"); if (p && p.textContent !== text) p.textContent = text; };

  // ---- What is typed is sent at every change. Only the fields that were changed are sent, so that two devices at one job do not
  // undo each other. What could not be sent is kept in this tab and sent again, also after a reload.
  const waiting = new Map(); // by form: the names that are to be sent
  const shelf = form => "waiting " + form.dataset.keep;
  const fieldsOf = (form, name) => all("input,select,textarea", form).filter(f => f.name === name);

  function shelve(form) {
    const names = waiting.get(form);
    if (!names || names.size === 0) { sessionStorage.removeItem(shelf(form)); return; }
    const kept = [];
    for (const name of names) for (const f of fieldsOf(form, name)) {
      if (f.type === "radio" || f.type === "checkbox") { if (f.checked) kept.push([name, f.value]); } else kept.push([name, f.value]);
    }
    sessionStorage.setItem(shelf(form), JSON.stringify({ names: [...names], kept }));
  }

  function unshelve(form) {
    let was;
    try { was = JSON.parse(sessionStorage.getItem(shelf(form)) || "null"); } catch { was = null; }
    if (!was) return;
    const names = waiting.get(form);
    for (const name of was.names) {
      names.add(name);
      const values = was.kept.filter(k => k[0] === name).map(k => k[1]);
      for (const f of fieldsOf(form, name)) {
        if (f.type === "radio" || f.type === "checkbox") f.checked = values.includes(f.value);
        else if (values.length) f.value = values[0];
      }
    }
    if (names.size) htmx.trigger(form, "keep");
  }

  function keepForm(form) {
    if (waiting.has(form)) return;
    waiting.set(form, new Set());
    let timer = 0;
    const soon = wait => { clearTimeout(timer); timer = setTimeout(() => htmx.trigger(form, "keep"), wait); };
    form.addEventListener("input", e => {
      const f = e.target;
      if (!f.name) return;
      waiting.get(form).add(f.name);
      if (f.dataset.with) waiting.get(form).add(f.dataset.with);
      shelve(form);
      soon(f.type === "text" ? 220 : 0);
    });
    form.addEventListener("htmx:configRequest", e => {
      if (e.target !== form) return;
      const sending = new Set(waiting.get(form));
      form.sending = sending;
      waiting.get(form).clear();
      const p = e.detail.parameters;
      for (const name of Object.keys(p)) if (name !== "token" && !sending.has(name)) delete p[name];
    });
    form.addEventListener("htmx:afterRequest", e => {
      if (e.target !== form) return;
      const sent = form.sending || new Set();
      form.sending = null;
      if (e.detail.successful) {
        sessionStorage.removeItem("asked anew");
        if (form.failed) { form.failed = false; told(one("#told").dataset.back); }
        shelve(form);
        const pick = one("[data-reload]", form);
        if (pick && all("input", pick).some(f => sent.has(f.name))) location.reload();
        return;
      }
      for (const name of sent) waiting.get(form).add(name);
      shelve(form);
      form.failed = true;
      const status = e.detail.xhr ? e.detail.xhr.status : 0;
      if ((status === 401 || status === 403) && !sessionStorage.getItem("asked anew")) { // this page is too old: the new one sends what waits
        sessionStorage.setItem("asked anew", "yes");
        location.reload();
        return;
      }
      told(one("#told").dataset.lost);
      soon(1500);
    });
    form.addEventListener("submit", () => sessionStorage.removeItem(shelf(form)));
    // What was typed before this script had come.
    for (const f of all("input", form)) {
      const typed = f.type === "radio" || f.type === "checkbox" ? f.checked && !f.defaultChecked : f.type !== "hidden" && f.value !== f.defaultValue;
      if (f.name && typed) waiting.get(form).add(f.name);
    }
    if (waiting.get(form).size) soon(0);
    unshelve(form);
  }

  // A note that has not changed is left alone, so that it is not read aloud again and focus is not lost.
  document.addEventListener("htmx:oobBeforeSwap", e => {
    const from = e.detail.fragment, to = e.detail.target;
    const html = from.firstElementChild && from.childElementCount === 1 && from.firstElementChild.hasAttribute("hx-swap-oob") ? from.firstElementChild.innerHTML : [...from.childNodes].map(n => n.outerHTML || n.textContent).join("");
    if (to && to.innerHTML.trim() === html.trim()) e.detail.shouldSwap = false;
  });

  // ---- The tape card: fractions under the thumb, and Enter goes on to the next measure.
  function tapeCard() {
    const card = one("#card");
    if (!card) return;
    const bar = one("#fractions");
    const inputs = all(".measure .entry input", card);
    card.addEventListener("focusin", e => {
      if (!inputs.includes(e.target)) { if (bar && !bar.contains(e.target)) bar.hidden = true; return; }
      if (bar && e.target.id !== "m-shoulder_slope") { e.target.closest(".measure").insertBefore(bar, one(".how", e.target.closest(".measure"))); bar.hidden = false; }
    });
    // Figures stand at the right of their field, so a tap beside them would put the caret before them.
    card.addEventListener("click", e => {
      const f = e.target;
      if (inputs.includes(f) && f.selectionStart === 0 && f.selectionEnd === 0) f.setSelectionRange(f.value.length, f.value.length);
    });
    card.addEventListener("keydown", e => {
      const i = inputs.indexOf(e.target);
      if (e.key !== "Enter" || i < 0) return;
      e.preventDefault();
      const next = inputs.slice(i + 1).find(f => f.checkVisibility ? f.checkVisibility() : f.offsetParent) || one(".ends .main", card);
      next.focus();
      if (next.select) next.select();
    });
    card.addEventListener("keypress", e => { if (e.key === "Enter" && inputs.includes(e.target)) e.preventDefault(); }); // some keyboards send it apart
    if (!bar) return;
    bar.addEventListener("pointerdown", e => e.preventDefault());
    bar.addEventListener("click", e => {
      const put = e.target.dataset.put, f = document.activeElement;
      if (!put || !inputs.includes(f)) return;
      const from = f.selectionStart, to = f.selectionEnd;
      f.setRangeText(put, from, to, "end");
      f.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }

  // ---- A finding shows what it means in the pictures; a second press puts it out.
  function show(link) {
    const was = link.getAttribute("aria-current") === "true";
    all("[data-edge].lit, [data-piece].lit").forEach(p => p.classList.remove("lit"));
    all(".shows[aria-current=true]").forEach(a => a.removeAttribute("aria-current"));
    if (was) return;
    link.setAttribute("aria-current", "true");
    const edges = (link.dataset.edges || "").split(" ").filter(Boolean), pieces = (link.dataset.pieces || "").split(" ").filter(Boolean);
    let lit = all("[data-edge]").filter(p => edges.includes(p.dataset.edge));
    if (!lit.length) lit = all("[data-piece]").filter(p => pieces.includes(p.dataset.piece));
    lit.forEach(p => p.classList.add("lit"));
    const seen = lit.find(p => p.closest(".sketch")) || lit[0];
    if (seen) seen.closest("figure, li").scrollIntoView({ block: "nearest", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  }
  document.addEventListener("click", e => {
    const link = e.target.closest && e.target.closest("a.shows[data-edges]");
    if (link && one("#picture")) { e.preventDefault(); show(link); }
  });

  // ---- At the table: keys and swipes go on and back, and the screen stays awake where the browser can keep it so.
  function atTable() {
    const chalk = one("#chalk");
    if (!chalk) return;
    const go = id => { const b = one(id); if (b) b.click(); };
    document.addEventListener("keydown", e => {
      if (e.altKey || e.ctrlKey || e.metaKey || e.target.closest("input,select,textarea")) return;
      if (e.key === "ArrowRight" || e.key === "PageDown") { e.preventDefault(); go("#go-next"); }
      else if (e.key === "ArrowLeft" || e.key === "PageUp") { e.preventDefault(); go("#go-back"); }
    });
    let from = null;
    chalk.addEventListener("touchstart", e => { from = e.touches.length === 1 ? { x: e.touches[0].clientX, y: e.touches[0].clientY } : null; }, { passive: true });
    chalk.addEventListener("touchend", e => {
      if (!from || !e.changedTouches.length) return;
      const x = e.changedTouches[0].clientX - from.x, y = e.changedTouches[0].clientY - from.y;
      from = null;
      if (Math.abs(x) < 60 || Math.abs(x) < 1.8 * Math.abs(y)) return;
      go(x < 0 ? "#go-next" : "#go-back");
    }, { passive: true });
    const wake = () => { if (navigator.wakeLock && document.visibilityState === "visible") navigator.wakeLock.request("screen").catch(() => {}); };
    document.addEventListener("visibilitychange", wake);
    wake();
  }

  // ---- A lay that is looked for is shown as it gets better.
  function watchLay() {
    const lay = one("#lay[data-events]");
    if (!lay) return;
    const events = new EventSource(lay.dataset.events);
    const put = e => {
      const old = one(".cloth-scroll", lay), at = old ? old.scrollLeft : 0;
      lay.innerHTML = JSON.parse(e.data);
      const now = one(".cloth-scroll", lay);
      if (now) now.scrollLeft = at;
    };
    events.addEventListener("better", put);
    events.addEventListener("rest", e => { put(e); events.close(); const f = one("#stopping"); if (f) f.remove(); });
  }

  // ---- A form of the book is sent whole. What is typed into it is held in this tab until its change is made, also when the workroom was switched off,
  // the page was loaded again or the change was refused. A cookie says which form may be let go.
  function letGo() {
    const done = (document.cookie.match(/(?:^|; )held=([a-z0-9]+)/) || [])[1];
    if (!done) return;
    for (const k of Object.keys(sessionStorage)) if (k.startsWith("held ")) {
      try { if (JSON.parse(sessionStorage.getItem(k)).name === done) sessionStorage.removeItem(k); } catch { sessionStorage.removeItem(k); }
    }
    document.cookie = "held=; Path=/; SameSite=Strict; Max-Age=0";
  }
  function holdForm(form) {
    const key = "held " + form.dataset.hold;
    const fields = all("input,select,textarea", form).filter(f => f.name && f.type !== "hidden" && f.type !== "password" && f.type !== "file");
    let was;
    try { was = JSON.parse(sessionStorage.getItem(key) || "null"); } catch { was = null; }
    const name = was ? was.name : [...crypto.getRandomValues(new Uint8Array(12))].map(n => (n % 36).toString(36)).join("");
    const mark = document.createElement("input");
    mark.type = "hidden"; mark.name = "held"; mark.value = name;
    form.append(mark);
    const hold = () => sessionStorage.setItem(key, JSON.stringify({ name, kept: fields.map(f => f.type === "radio" || f.type === "checkbox" ? [f.name, f.value, f.checked] : [f.name, f.value]) }));
    if (was && !one("#refused")) {
      was.kept.forEach(([n, value, on], i) => { const f = fields[i]; if (!f || f.name !== n) return; if (on === undefined) f.value = value; else f.checked = on; });
      const fold = form.closest("details");
      if (fold) fold.open = true;
    }
    form.addEventListener("input", hold);
    form.addEventListener("submit", hold);
  }

  document.addEventListener("DOMContentLoaded", () => {
    const pill = one(".room-doors [aria-current=page]");
    if (pill) { const nav = pill.closest("nav"); nav.scrollLeft = pill.offsetLeft - (nav.clientWidth - pill.offsetWidth) / 2; }
    letGo();
    all("form[data-hold]").forEach(holdForm);
    watchLay();
    atTable();
    document.documentElement.classList.add("live");
    all("form[data-keep]").forEach(keepForm);
    tapeCard();
  });
})();
