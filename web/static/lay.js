// Laying by hand: pieces are moved with mouse, finger or keys, turned as their cloth allows and locked; what overlaps is shown while it is
// moved. The server judges every lay again and keeps it. Without this script the lay is shown and searched for, not moved.
"use strict";
(() => {
  const NS = "http://www.w3.org/2000/svg";
  const one = sel => document.querySelector(sel);
  const node = (name, attrs, parent) => {
    const n = document.createElementNS(NS, name);
    for (const k in attrs) n.setAttribute(k, attrs[k]);
    if (parent) parent.append(n);
    return n;
  };
  const say = (words, more) => words.replace(/\{([a-z]+)\}/g, (all, k) => k in more ? more[k] : all);

  // ---- Polygons, as flat lists x, y, x, y. Two that only touch do not overlap: corners within a fiftieth of a millimetre of an edge
  // count as on it. The server decides exactly.
  const touch = 0.02;

  const boxOf = r => {
    let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity;
    for (let i = 0; i < r.length; i += 2) {
      if (r[i] < x0) x0 = r[i];
      if (r[i] > x1) x1 = r[i];
      if (r[i + 1] < y0) y0 = r[i + 1];
      if (r[i + 1] > y1) y1 = r[i + 1];
    }
    return { x0, y0, x1, y1 };
  };
  const apart = (a, b) => a.x1 <= b.x0 || b.x1 <= a.x0 || a.y1 <= b.y0 || b.y1 <= a.y0;

  // how far a point lies to the left of the line from a to b
  const left = (ax, ay, bx, by, x, y) => {
    const l = Math.hypot(bx - ax, by - ay);
    return l === 0 ? 0 : ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / l;
  };

  function inside(r, x, y) {
    let odd = false;
    for (let i = 0, j = r.length - 2; i < r.length; j = i, i += 2) {
      const ax = r[j], ay = r[j + 1], bx = r[i], by = r[i + 1];
      if ((ay > y) !== (by > y) && x < ax + (bx - ax) * (y - ay) / (by - ay)) odd = !odd;
      // on the edge, or nearly: not inside
      const l2 = (bx - ax) ** 2 + (by - ay) ** 2;
      const t = l2 === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / l2));
      if (Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)) <= touch) return false;
    }
    return odd;
  }

  function overlap(a, b, boxA, boxB) {
    if (apart(boxA, boxB)) return false;
    for (let i = 0, j = a.length - 2; i < a.length; j = i, i += 2) {
      const ax = a[j], ay = a[j + 1], bx = a[i], by = a[i + 1];
      const x0 = Math.min(ax, bx), x1 = Math.max(ax, bx), y0 = Math.min(ay, by), y1 = Math.max(ay, by);
      if (x1 < boxB.x0 || x0 > boxB.x1 || y1 < boxB.y0 || y0 > boxB.y1) continue;
      for (let k = 0, m = b.length - 2; k < b.length; m = k, k += 2) {
        const cx = b[m], cy = b[m + 1], dx = b[k], dy = b[k + 1];
        if (Math.max(cx, dx) < x0 || Math.min(cx, dx) > x1 || Math.max(cy, dy) < y0 || Math.min(cy, dy) > y1) continue;
        const c = left(ax, ay, bx, by, cx, cy), d = left(ax, ay, bx, by, dx, dy);
        if (!(c > touch && d < -touch || c < -touch && d > touch)) continue;
        const p = left(cx, cy, dx, dy, ax, ay), q = left(cx, cy, dx, dy, bx, by);
        if (p > touch && q < -touch || p < -touch && q > touch) return true;
      }
    }
    for (let i = 0; i < a.length; i += 2) if (inside(b, a[i], a[i + 1])) return true;
    for (let i = 0; i < b.length; i += 2) if (inside(a, b[i], b[i + 1])) return true;
    // One on the other, corner by corner.
    return boxA.x0 === boxB.x0 && boxA.x1 === boxB.x1 && boxA.y0 === boxB.y0 && boxA.y1 === boxB.y1 && a.length === b.length;
  }

  const areaOf = r => {
    let s = 0;
    for (let i = 0, j = r.length - 2; i < r.length; j = i, i += 2) s += r[j] * r[i + 1] - r[i] * r[j + 1];
    return s / 2;
  };
  function middleOf(r) {
    let x = 0, y = 0, s = 0;
    for (let i = 0, j = r.length - 2; i < r.length; j = i, i += 2) {
      const c = r[j] * r[i + 1] - r[i] * r[j + 1];
      s += c; x += (r[j] + r[i]) * c; y += (r[j + 1] + r[i + 1]) * c;
    }
    if (s !== 0 && inside(r, x / (3 * s), y / (3 * s))) return [x / (3 * s), y / (3 * s)];
    const b = boxOf(r);
    return [(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2];
  }

  // ---- Figures as the server says them.
  function length(s, mm) {
    const v = Math.sign(mm) * Math.floor(Math.abs(mm) / s.fine + 0.5 + 1e-9) * s.fine;
    if (s.unit !== "in") return String(Math.round(v / (s.unit === "cm" ? 10 : 1) * 1000) / 1000 + 0) + " " + s.unit;
    let n = Math.round(Math.abs(v) / 25.4 * 32), den = 32;
    const whole = Math.floor(n / 32);
    let part = n % 32;
    while (part > 0 && part % 2 === 0) { part /= 2; den /= 2; }
    const minus = v < 0 && n > 0 ? "-" : "";
    return minus + (part === 0 ? whole : (whole ? whole + " " : "") + part + "/" + den) + " in";
  }
  function toBuy(s, mm) {
    if (s.end) return s.end * s.layers / (1 - s.shrink);
    const step = s.shop || 1;
    return Math.ceil((mm + Math.max(s.margin[1], s.margin[0] * mm)) / (1 - s.shrink) / step - 1e-9) * step;
  }
  function cost(s, mm) { // exactly, then half up, as the server does
    const m = /^(\d*)\.?(\d*)$/.exec(s.price || "");
    if (!m || !(m[1] + m[2])) return "";
    const den = 10n ** BigInt(m[2].length + 6);
    const num = BigInt(m[1] + m[2]) * BigInt(Math.round(mm * 1000));
    const cents = (num * 200n + den) / (2n * den);
    return cents / 100n + "." + String(cents % 100n).padStart(2, "0");
  }

  function byHand(root) {
    const s = JSON.parse(root.dataset.hand);
    const w = s.words;
    const svg = root.querySelector(".lay-picture"), scroll = root.querySelector(".cloth-scroll");
    const shelf = "moved " + s.at;
    const shapes = new Map();
    let chosen = null, drag = null, sending = null, timer = 0, over = new Set();
    const waiting = new Map(); // by shape: true, to be sent

    for (const q of s.shapes) {
      const poses = q.q.map(o => ({ turn: o[0], flip: o[1] === 1, m: o.slice(2, 6), fold: o[6] }));
      shapes.set(q.k, { key: q.k, title: q.t, layers: q.l, onFold: !!q.f, base: q.p, poses, snap: q.s, x: 0, y: 0, pose: poses[0], lock: false, n: 0, faults: [] });
    }

    function turned(q) { // its outline about its origin, once for each pose
      if (!q.pose.ring) {
        const m = q.pose.m, r = new Array(q.base.length);
        for (let i = 0; i < r.length; i += 2) {
          r[i] = m[0] * q.base[i] + m[1] * q.base[i + 1];
          r[i + 1] = m[2] * q.base[i] + m[3] * q.base[i + 1];
        }
        q.pose.ring = r;
        q.pose.box = boxOf(r);
        q.pose.middle = middleOf(r);
      }
      return q.pose.ring;
    }
    function settle(q) { // where it lies on the cloth
      const r = turned(q);
      if (!q.ring || q.ring.length !== r.length) q.ring = new Array(r.length);
      for (let i = 0; i < r.length; i += 2) { q.ring[i] = r[i] + q.x; q.ring[i + 1] = r[i + 1] + q.y; }
      const b = q.pose.box;
      q.box = { x0: b.x0 + q.x, y0: b.y0 + q.y, x1: b.x1 + q.x, y1: b.y1 + q.y };
    }

    function take(now, all) {
      for (const p of now.places) {
        const q = shapes.get(p.k);
        if (!q) continue;
        q.n = p.n;
        if (!all && (waiting.has(q.key) || drag && drag.q === q)) continue;
        let best = q.poses[0], least = Infinity;
        for (const o of q.poses) {
          const d = Math.abs(((o.turn - p.turn + 540) % 360) - 180) + (o.flip === p.flip ? 0 : 1000);
          if (d < least) { least = d; best = o; }
        }
        if (least > 1e-3 && least < 1000) { // tilted by hand of another kind: shown as it is
          const rad = (p.turn - best.turn) * Math.PI / 180, c = Math.cos(rad), n = Math.sin(rad), m = best.m;
          best = { turn: p.turn, flip: p.flip, fold: best.fold, m: [c * m[0] - n * m[2], c * m[1] - n * m[3], n * m[0] + c * m[2], n * m[1] + c * m[3]] };
        }
        q.pose = best; q.x = p.x; q.y = p.y; q.lock = p.lock;
        settle(q);
      }
    }

    // ---- What is wrong, looked at anew for one shape or for all.
    const pairKey = (a, b) => a.key < b.key ? a.key + "|" + b.key : b.key + "|" + a.key;
    function judge(only) {
      const list = [...shapes.values()];
      for (const q of only ? [only] : list) {
        q.alone = "";
        if (q.box.x0 < -touch || q.box.y0 < s.head - touch || q.box.x1 > s.usable + touch || s.end && q.box.y1 > s.end + touch) q.alone = "off";
        else if (s.part && q.box.x1 > s.part[0] + touch && (q.layers === 2 || q.box.x0 < s.part[1] - touch)) q.alone = "part";
        else for (const f of s.flaws || []) {
          if (overlap(q.ring, [f[0], f[1], f[2], f[1], f[2], f[3], f[0], f[3]], q.box, { x0: f[0], y0: f[1], x1: f[2], y1: f[3] })) q.alone = "flaw";
        }
        for (const o of list) {
          if (o === q) continue;
          if (overlap(q.ring, o.ring, q.box, o.box)) over.add(pairKey(q, o)); else over.delete(pairKey(q, o));
        }
      }
      const bad = new Set();
      for (const k of over) for (const id of k.split("|")) bad.add(id);
      for (const q of list) q.bad = bad.has(q.key) || q.alone !== "";
    }
    function faults() {
      const out = [];
      for (const q of shapes.values()) if (q.alone) out.push(say(w[q.alone], { a: name(q) }));
      for (const k of [...over].sort()) {
        const [a, b] = k.split("|").map(id => shapes.get(id)).sort((x, y) => x.n - y.n);
        out.push(say(w.over, { a: name(a), b: name(b) }));
      }
      return out;
    }
    const name = q => q.n + " " + q.title;

    // ---- The picture: the cloth's length runs from left to right, so x on the screen is along the cloth.
    let ground, endLine, foldEdge, overEdge;
    function draw() {
      svg.replaceChildren();
      svg.setAttribute("role", "group");
      const defs = node("defs", {}, svg);
      const hatch = node("pattern", { id: "over-hatch", width: 14, height: 14, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, defs);
      node("path", { d: "M0 0V14", class: "hatch-line" }, hatch);
      ground = node("path", { class: "ground" }, svg);
      for (const f of s.flaws || []) node("rect", { x: f[1], y: f[0], width: f[3] - f[1], height: f[2] - f[0], class: "flaw" }, svg);
      endLine = node("path", { class: "end-line" }, svg);
      if (s.part) overEdge = node("rect", { class: "over-edge", x: 0, y: s.part[0], height: Math.max(1, s.part[1] - s.part[0]), width: 0 }, svg);
      if (s.folded) foldEdge = node("path", { class: "fold-edge" }, svg);
      for (const q of [...shapes.values()].sort((a, b) => a.n - b.n)) {
        q.g = node("g", { class: "shape", tabindex: 0, role: "button", "data-shape": q.key }, svg);
        q.path = node("path", {}, q.g);
        q.hatch = node("path", { class: "hatch", fill: "url(#over-hatch)" }, q.g);
        q.text = node("text", { "text-anchor": "middle" }, q.g);
        q.sign = node("path", { class: "lock-sign" }, q.g);
        q.g.addEventListener("focus", () => choose(q));
      }
      frame();
    }
    function frame() {
      let end = 0;
      for (const q of shapes.values()) end = Math.max(end, q.box.y1);
      const far = Math.max(s.frontier, end + 120);
      s.frontier = far;
      ground.setAttribute("d", `M0 0H${far}V${s.usable}H0Z`);
      if (overEdge) { overEdge.setAttribute("width", far); }
      if (foldEdge) foldEdge.setAttribute("d", `M0 0H${far}`);
      svg.setAttribute("viewBox", `-24 -24 ${far + 48} ${s.usable + 48}`);
    }
    function paint(q) {
      if (q.drawn !== q.pose) {
        q.drawn = q.pose;
        const r = turned(q);
        let d = "";
        for (let i = 0; i < r.length; i += 2) d += (i ? "L" : "M") + r[i + 1].toFixed(1) + " " + r[i].toFixed(1);
        q.path.setAttribute("d", d + "Z");
        q.hatch.setAttribute("d", d + "Z");
        const b = q.pose.box, [mx, my] = q.pose.middle, size = Math.min(38, (b.x1 - b.x0) * 0.6, (b.y1 - b.y0) * 0.6);
        q.text.setAttribute("font-size", size.toFixed(1));
        q.text.setAttribute("x", my.toFixed(1));
        q.text.setAttribute("y", (mx + size * 0.36).toFixed(1));
        const k = size / 20, lx = my + size * 0.95, ly = mx;
        q.sign.setAttribute("d", `M${lx - 6 * k} ${ly - k}h${12 * k}v${9 * k}h${-12 * k}z M${lx - 4 * k} ${ly - k}v${-3 * k}a${4 * k} ${4 * k} 0 0 1 ${8 * k} 0v${3 * k}`);
      }
      q.g.setAttribute("transform", `translate(${q.y.toFixed(2)} ${q.x.toFixed(2)})`);
      q.path.setAttribute("class", "laid" + (q.layers === 1 && root.dataset.two ? " single" : ""));
      q.g.setAttribute("class", "shape" + (q === chosen ? " chosen" : "") + (q.bad ? " over" : "") + (q.lock ? " locked" : ""));
      q.text.textContent = q.n;
      q.g.setAttribute("aria-pressed", String(q === chosen));
      q.g.setAttribute("aria-label", told(q));
    }
    // told is what a shape is called aloud: where it lies and what is wrong.
    function told(q) {
      const parts = [name(q), place(q)];
      if (q.lock) parts.push(w.locked);
      return parts.concat(faultsOf(q)).join(". ");
    }
    function faultsOf(q) {
      const parts = [];
      if (q.alone) parts.push(say(w[q.alone], { a: name(q) }));
      for (const k of over) {
        const ids = k.split("|");
        if (ids.includes(q.key)) parts.push(say(w.over, { a: name(q), b: name(shapes.get(ids[0] === q.key ? ids[1] : ids[0])) }));
      }
      return parts;
    }
    const place = q => say(q.onFold ? w.fold : w.at, { end: length(s, q.box.y0), from: length(s, q.box.x0), edge: s.edge });

    const put = (id, text) => { const n = one(id); if (n && n.textContent !== text) n.textContent = text; };
    const list = (id, texts) => {
      const n = one(id);
      if (!n || n.textContent === texts.join("")) return;
      n.replaceChildren(...texts.map(t => { const li = document.createElement("li"); li.textContent = t; return li; }));
    };
    function figures() {
      let depth = 0, area = 0;
      for (const q of shapes.values()) { depth = Math.max(depth, q.box.y1); area += Math.abs(areaOf(q.ring)) * q.layers; }
      const long = depth * s.layers, buy = toBuy(s, long);
      put("#fig-buy", length(s, buy));
      put("#fig-length", length(s, long));
      put("#fig-used", Math.round(100 * area / (s.flat * long)) + " %");
      if (s.price) put("#fig-cost", cost(s, buy));
      endLine.setAttribute("d", `M${depth} 0V${s.usable}`);
      const wrong = faults();
      verdict(wrong.length > 0);
      list("#lay-stops", wrong);
    }
    function verdict(bad) { const v = one("#lay-verdict"); if (v) v.hidden = !bad; }
    function all() {
      judge();
      for (const q of shapes.values()) paint(q);
      figures();
      bar();
      legend();
    }
    function legend() {
      const l = one("#lay-legend");
      if (!l) return;
      l.replaceChildren(...[...shapes.values()].sort((a, b) => a.n - b.n).map(q => {
        const li = document.createElement("li"), b = document.createElement("b");
        b.textContent = q.n;
        li.append(b, " " + q.title + (q.lock ? " · " + w.locked : ""));
        return li;
      }));
    }

    // ---- What the server says of it.
    function heard(now) {
      take(now, false);
      all();
      put("#fig-buy", now.bought);
      put("#fig-length", now.length);
      put("#fig-used", now.used);
      put("#fig-cost", now.cost);
      verdict(now.stops.length > 0);
      list("#lay-stops", now.stops);
      list("#lay-notes", now.notes);
      put("#lay-state", w.kept);
      s.now = now;
      bar();
      if (!drag) frame();
    }

    // ---- Sending: one request at a time; what could not be sent is kept in this tab and sent again, also after a reload.
    const line = q => [q.key, q.pose.turn, q.pose.flip ? 1 : 0, q.x.toFixed(3), q.y.toFixed(3), q.lock ? 1 : 0].join(" ");
    function shelve() {
      if (!waiting.size) sessionStorage.removeItem(shelf);
      else sessionStorage.setItem(shelf, JSON.stringify({ of: s.of, p: [...waiting.keys()].map(k => line(shapes.get(k))) }));
    }
    function keep(q, wait) {
      waiting.set(q.key, true);
      shelve();
      clearTimeout(timer);
      timer = setTimeout(send, wait);
    }
    async function post(pairs) {
      const body = new URLSearchParams([["token", s.token], ["of", s.of], ...pairs]);
      return fetch(s.at, { method: "POST", body, headers: { "HX-Request": "true" } });
    }
    async function send() {
      clearTimeout(timer);
      if (sending || !waiting.size) return;
      sending = [...waiting.keys()];
      const pairs = [["do", "place"], ...sending.map(k => ["p", line(shapes.get(k))])];
      waiting.clear();
      let answer = null;
      try { answer = await post(pairs); } catch { answer = null; }
      const sent = sending;
      sending = null;
      if (answer && answer.ok) {
        if (root.dataset.lost) { delete root.dataset.lost; tell(one("#told").dataset.back); put("#told", one("#told").dataset.back); }
        sessionStorage.removeItem("asked anew");
        const now = await answer.json();
        shelve();
        heard(now);
      } else if (answer && [400, 404, 409, 413].includes(answer.status)) { // the pieces or the cloth are no longer those
        waiting.clear();
        shelve();
        location.reload();
        return;
      } else {
        for (const k of sent) waiting.set(k, true);
        shelve();
        if (answer && (answer.status === 401 || answer.status === 403) && !sessionStorage.getItem("asked anew")) {
          sessionStorage.setItem("asked anew", "yes");
          location.reload();
          return;
        }
        root.dataset.lost = "yes";
        put("#told", one("#told").dataset.lost);
        timer = setTimeout(send, 1500);
        return;
      }
      if (waiting.size) send();
    }
    async function undo() {
      if (sending || waiting.size) { await send(); }
      if (waiting.size || sending) return;
      let answer = null;
      try { answer = await post([["do", "undo"]]); } catch { answer = null; }
      if (!answer || !answer.ok) { put("#told", one("#told").dataset.lost); return; }
      heard(await answer.json());
      tell(w.undone);
    }

    // ---- Choosing, moving, turning, locking.
    function tell(text) { const p = one("#hand-told"); if (p) { p.textContent = ""; p.textContent = text; } }
    function choose(q) {
      if (chosen === q) return;
      const was = chosen;
      chosen = q;
      if (was) paint(was);
      if (q) paint(q);
      bar();
    }
    function bar() {
      const wrong = chosen ? faultsOf(chosen) : [];
      put("#hand-which", !chosen ? w.none : wrong.length ? wrong.join(". ") : say(w.chosen, { a: name(chosen) }) + " " + place(chosen));
      one("#hand-which").classList.toggle("bad", wrong.length > 0);
      for (const b of root.querySelectorAll("[data-move],#hand-turn")) b.disabled = !chosen || chosen.lock || b.dataset.move && chosen.onFold && !b.dataset.move.startsWith("0") || b.id === "hand-turn" && chosen && chosen.poses.length < 2;
      const lock = one("#hand-lock");
      lock.disabled = !chosen;
      lock.setAttribute("aria-pressed", String(!!chosen && chosen.lock));
      lock.textContent = chosen && chosen.lock ? w.unlock : w.lock;
      one("#hand-undo").disabled = !s.now.undo && !waiting.size;
    }
    function moved(q, wait) {
      settle(q);
      judge(q);
      for (const o of shapes.values()) paint(o);
      figures();
      bar();
      keep(q, wait);
    }
    // snapped puts a matched piece on the repeat nearest to where it is, and a piece on the fold on the fold.
    function snapped(q, x, y) {
      if (q.snap) {
        const near = (v, p, r) => r > 0 ? Math.round((v + p) / r) * r - p : v;
        x = near(x, q.snap[0], s.repeat[0]);
        y = near(y, q.snap[1], s.repeat[1]);
      }
      if (q.onFold) x = q.pose.box.x1 > 1e-6 ? 0 : s.usable; // on the other fold of a tube
      return [x, y];
    }
    function nudge(q, dx, dy, many) {
      if (q.lock) { tell(say(w.islocked, { a: name(q) })); return; }
      const k = many ? 10 : 1;
      const sx = q.snap && s.repeat[0] || s.step * k, sy = q.snap && s.repeat[1] || s.step * k;
      [q.x, q.y] = snapped(q, q.x + dx * sx, q.y + dy * sy);
      moved(q, 450);
      tell(told(q));
    }
    function turn(q) {
      if (q.lock) { tell(say(w.islocked, { a: name(q) })); return; }
      if (q.poses.length < 2) { tell(say(w.noturn, { a: name(q) })); return; }
      const i = q.poses.findIndex(o => o === q.pose), b = q.pose.box;
      const mid = [(b.x0 + b.x1) / 2 + q.x, (b.y0 + b.y1) / 2 + q.y];
      q.pose = q.poses[(i + 1) % q.poses.length];
      turned(q);
      const c = q.pose.box;
      [q.x, q.y] = snapped(q, mid[0] - (c.x0 + c.x1) / 2, mid[1] - (c.y0 + c.y1) / 2);
      moved(q, 450);
      tell(say(w.turned, { a: name(q) }) + " " + told(q));
    }
    function lock(q) {
      q.lock = !q.lock;
      paint(q);
      legend();
      bar();
      keep(q, 0);
      tell(say(q.lock ? w.islocked : w.free, { a: name(q) }));
    }

    root.addEventListener("click", e => {
      const b = e.target.closest("button");
      if (!b || b.disabled) return;
      if (b.id === "hand-undo") undo();
      if (!chosen) return;
      if (b.dataset.move) { const [dx, dy] = b.dataset.move.split(" ").map(Number); nudge(chosen, dx, dy, false); }
      if (b.id === "hand-turn") turn(chosen);
      if (b.id === "hand-lock") lock(chosen);
    });
    svg.addEventListener("keydown", e => {
      const g = e.target.closest(".shape");
      if (!g || e.altKey) return;
      const q = shapes.get(g.dataset.shape);
      if (e.ctrlKey || e.metaKey) { if (e.key === "z" || e.key === "Z") { e.preventDefault(); undo(); } return; }
      const way = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] }[e.key];
      if (way) { e.preventDefault(); nudge(q, way[0], way[1], e.shiftKey); return; }
      switch (e.key) {
        case "r": case "R": e.preventDefault(); turn(q); break;
        case "l": case "L": case " ": e.preventDefault(); lock(q); break;
        case "u": case "U": e.preventDefault(); undo(); break;
        case "Escape": if (drag) { e.preventDefault(); stopDrag(false); } break;
      }
    });

    // ---- Dragging. A mouse drags at once; a finger first chooses a piece by a tap, so that the page can still be pushed along.
    const spot = e => { const m = svg.getScreenCTM().inverse(); return { y: m.a * e.clientX + m.e, x: m.d * e.clientY + m.f, k: m.a }; };
    let asked = false;
    svg.addEventListener("pointerdown", e => {
      const g = e.target.closest(".shape");
      if (!g || e.button !== 0 || drag) return;
      const q = shapes.get(g.dataset.shape), first = chosen !== q;
      choose(q);
      if (q.lock || e.pointerType === "touch" && first) return;
      e.preventDefault();
      g.focus({ preventScroll: true });
      svg.setPointerCapture(e.pointerId);
      drag = { q, id: e.pointerId, from: spot(e), x: q.x, y: q.y, last: e, moved: false };
      svg.append(q.g); // on top, and with it the focus
      g.focus({ preventScroll: true });
    });
    svg.addEventListener("pointermove", e => {
      if (!drag || e.pointerId !== drag.id) return;
      drag.last = e;
      if (!asked) { asked = true; requestAnimationFrame(follow); }
    });
    function follow() {
      asked = false;
      if (!drag) return;
      const e = drag.last, q = drag.q;
      // At the side of the window the cloth moves on under the finger.
      const b = scroll.getBoundingClientRect(), edge = 28;
      const on = e.clientX > b.right - edge ? 9 : e.clientX < b.left + edge ? -9 : 0;
      const was = scroll.scrollLeft;
      if (on) scroll.scrollLeft += on;
      if (scroll.scrollLeft !== was && !asked) { asked = true; requestAnimationFrame(follow); }
      const at = spot(e);
      let x = drag.x + at.x - drag.from.x, y = drag.y + at.y - drag.from.y;
      // The cloth's end and its edges draw what comes near.
      const pull = 6 * at.k, box = q.pose.box;
      if (Math.abs(y + box.y0 - s.head) < pull) y = s.head - box.y0;
      if (Math.abs(x + box.x0) < pull) x = -box.x0;
      if (Math.abs(x + box.x1 - s.usable) < pull) x = s.usable - box.x1;
      [x, y] = snapped(q, x, y);
      if (x === q.x && y === q.y) return;
      drag.moved = true;
      q.x = x; q.y = y;
      settle(q);
      judge(q);
      for (const o of shapes.values()) if (o === q || o.wasBad !== o.bad) { paint(o); o.wasBad = o.bad; }
      figures();
      bar();
    }
    function stopDrag(keepIt) {
      const d = drag;
      drag = null;
      if (!d) return;
      if (svg.hasPointerCapture(d.id)) svg.releasePointerCapture(d.id);
      if (!keepIt) { d.q.x = d.x; d.q.y = d.y; }
      settle(d.q);
      all();
      if (d.moved && keepIt) { keep(d.q, 0); tell(told(d.q)); }
    }
    svg.addEventListener("pointerup", e => { if (drag && e.pointerId === drag.id) { drag.last = e; follow(); stopDrag(true); } });
    svg.addEventListener("pointercancel", e => { if (drag && e.pointerId === drag.id) stopDrag(false); });
    svg.addEventListener("touchmove", e => { if (drag) e.preventDefault(); }, { passive: false });

    // A form that is sent, or a page that is left, takes along what waits.
    document.addEventListener("submit", async e => {
      if (!waiting.size && !sending) return;
      e.preventDefault();
      const f = e.target, b = e.submitter;
      for (let n = 0; n < 40 && (waiting.size || sending); n++) {
        if (!sending) await send(); else await new Promise(done => setTimeout(done, 50));
      }
      waiting.clear(); // what the server would not take stays on the shelf
      f.requestSubmit(b);
    });
    addEventListener("pagehide", () => {
      if (!waiting.size) return;
      const body = new URLSearchParams([["token", s.token], ["of", s.of], ["do", "place"], ...[...waiting.keys()].map(k => ["p", line(shapes.get(k))])]);
      fetch(s.at, { method: "POST", body, keepalive: true }).catch(() => {});
    });

    take(s.now, true);
    for (const q of [...shapes.values()]) if (!q.ring) shapes.delete(q.key); // without a place there is nothing to move
    draw();
    // What this tab could not send before it was loaded again.
    let was = null;
    try { was = JSON.parse(sessionStorage.getItem(shelf) || "null"); } catch { was = null; }
    if (was && was.of === s.of) {
      for (const text of was.p) {
        const f = text.split(" "), q = shapes.get(f.slice(0, 3).join(" "));
        if (!q) continue;
        q.pose = q.poses.find(o => o.turn === Number(f[3]) && o.flip === (f[4] === "1")) || q.pose;
        q.x = Number(f[5]); q.y = Number(f[6]); q.lock = f[7] === "1";
        settle(q);
        waiting.set(q.key, true);
      }
    } else if (was) sessionStorage.removeItem(shelf);
    frame();
    all();
    for (const q of shapes.values()) q.wasBad = q.bad;
    if (s.now.stops.length) { verdict(true); list("#lay-stops", s.now.stops); }
    if (waiting.size) send();
    root.querySelectorAll("[hidden].hand-live").forEach(n => { n.hidden = false; });
    root.classList.add("live");
  }

  function begin() {
    const root = one("#hand[data-hand]");
    if (root && !root.begun) { root.begun = true; byHand(root); }
  }
  // A comparison of widths is shown row by row.
  function watchWidths() {
    const box = one("#widths[data-events]");
    if (!box) return;
    const events = new EventSource(box.dataset.events);
    const put = e => { box.innerHTML = JSON.parse(e.data); };
    events.addEventListener("better", put);
    events.addEventListener("rest", e => { put(e); events.close(); });
  }

  document.addEventListener("DOMContentLoaded", () => {
    watchWidths();
    begin();
    const lay = one("#lay");
    if (lay) new MutationObserver(begin).observe(lay, { childList: true });
  });
})();
