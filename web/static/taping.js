"use strict";
// Measuring on the picture of a piece: where the picture was touched is sent, and the server answers what the tape says there.
(() => {
  const one = (sel, from = document) => from.querySelector(sel);
  const all = (sel, from = document) => [...from.querySelectorAll(sel)];
  const fine = matchMedia("(pointer: fine)");

  function tapeBoard() {
    const page = one("[data-taping]");
    if (!page) return;
    const place = one("#taping", page), at = page.dataset.taping;
    const board = () => one(".board", place);
    let asked = 0;

    async function ask(params) {
      const query = new URLSearchParams(params).toString(), n = ++asked;
      place.setAttribute("aria-busy", "true");
      let answer;
      try {
        answer = await fetch(at + "?" + query, { headers: { "HX-Request": "true" } });
      } catch { answer = null; }
      if (n !== asked) return;
      place.removeAttribute("aria-busy");
      if (!answer || !answer.ok || answer.redirected) { location.assign(at + "?" + query); return; }
      const text = await answer.text();
      if (n !== asked) return;
      const held = document.activeElement && place.contains(document.activeElement) ? document.activeElement.id : "";
      // The words are put in the place of the old, so that what reads them aloud hears of the change.
      const fresh = document.createElement("div");
      fresh.innerHTML = text;
      one("#readout", place).replaceChildren(...one("#readout", fresh).childNodes);
      board().replaceWith(one(".board", fresh));
      one(".taping-side", place).replaceWith(one(".taping-side", fresh));
      if (held) { const back = document.getElementById(held); (back || board()).focus?.({ preventScroll: true }); }
      const b = board().dataset, kept = new URLSearchParams();
      if (b.a) kept.set("a", b.a);
      if (b.b) kept.set("b", b.b);
      if (params.edge && !b.a) kept.set("edge", params.edge);
      history.replaceState(null, "", at + (kept.size ? "?" + kept : ""));
    }

    // spot is where on the piece, in millimetres, a pointer is, and how many of them a screen pixel is.
    function spot(e) {
      const m = board().getScreenCTM();
      if (!m) return null;
      const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(m.inverse());
      return { x: p.x, y: p.y, px: 1 / m.a };
    }
    const reach = e => e.pointerType === "mouse" || (!e.pointerType && fine.matches) ? 11 : 22;

    place.addEventListener("click", e => {
      const b = e.target.closest(".board"), line = e.target.closest(".tape-lines a, #taping-anew");
      if (line) {
        e.preventDefault();
        const edge = new URL(line.href).searchParams.get("edge");
        ask(edge && line.getAttribute("aria-current") !== "true" ? { edge } : {});
        return;
      }
      if (!b) return;
      const s = spot(e);
      if (!s) return;
      const params = { tap: s.x.toFixed(2) + "," + s.y.toFixed(2), reach: (reach(e) * s.px).toFixed(2) };
      if (b.dataset.a) params.a = b.dataset.a;
      if (b.dataset.b) params.b = b.dataset.b;
      ask(params);
    });
    place.addEventListener("change", e => {
      const form = e.target.closest(".taping-form");
      if (form) ask(Object.fromEntries([...new FormData(form)].filter(p => p[1])));
    });
    place.addEventListener("submit", e => e.preventDefault());

    // Under the mouse the point that a click would take is shown.
    place.addEventListener("pointermove", e => {
      if (e.pointerType !== "mouse") return;
      const b = e.target.closest(".board"), s = b && spot(e);
      let best = null, near = s ? 11 * s.px : 0;
      for (const c of all(".catch", place)) {
        c.classList.remove("near");
        if (!s) continue;
        const d = Math.hypot(c.cx.baseVal.value - s.x, c.cy.baseVal.value - s.y);
        if (d < near) { best = c; near = d; }
      }
      if (best) best.classList.add("near");
    });
  }
  document.addEventListener("DOMContentLoaded", () => {
    tapeBoard();
    const now = one(".piece-chips [aria-current=page]");
    if (now) { const list = now.closest("ul"); list.scrollLeft = now.offsetLeft - list.clientWidth / 2 + now.clientWidth / 2; }
  });
})();
