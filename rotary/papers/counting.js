"use strict";
// The sheet counts with the person. Every tap is an entry of a list; what is shown is read off the list, so that Back
// takes the last one off and a page that is loaded again goes on. The list stands in the address, too.
const job = JSON.parse(document.getElementById("job").textContent), words = job.words;
const $ = id => document.getElementById(id), store = "rotary-sheet-" + job.key, LOCK = 400;
const sections = [...document.querySelectorAll("main > section")];
const ticks = [...document.querySelectorAll("main > section input[type=checkbox]")];
const boxes = [...document.querySelectorAll(".slice")];
let log = [], saved = true, locked = 0;

const say = (name, values = {}) => words[name].replace(/\{(\w+)\}/g, (_, key) => values[key]);

function stored() {
  const lists = [[]];
  try { lists.push(JSON.parse(localStorage.getItem(store) || "[]")); } catch (error) { saved = false; }
  try {
    const [key, list] = decodeURIComponent(location.hash.slice(1)).split("=", 2);
    if (key === job.key) lists.push(JSON.parse(list));
  } catch (error) { /* an address that was cut off holds nothing */ }
  return lists.filter(Array.isArray).reduce((a, b) => b.length > a.length ? b : a);
}

function keep() {
  try { localStorage.setItem(store, JSON.stringify(log)); } catch (error) { saved = false; }
  try { history.replaceState(null, "", "#" + encodeURIComponent(job.key + "=" + JSON.stringify(log))); } catch (error) { /* the store is enough */ }
}

function add(what, more = {}) {
  if (Date.now() < locked) return;          // a glove that bounces taps once
  locked = Date.now() + LOCK;
  log.push({ what, at: Date.now(), ...more });
  keep();
  draw();
}

function state() {
  const s = { step: 0, ticks: new Set(), follow: false, started: 0, rung: 0, pass: 0, look: false, last: "", until: 0,
    stop: "", power: 0, count: job.passes, done: 0, parts: 0 };
  const known = () => { s.power = job.rungs[s.rung].power; s.count = s.pass; s.done++; };
  const on = () => { s.pass = 0; s.look = false; s.last = ""; s.until = 0; s.step++; };
  const handlers = {
    follow(e) { s.follow = true; s.started = s.started || e.at; },
    sheet() { s.follow = false; },
    tick(e) { if (!s.ticks.delete(e.n)) s.ticks.add(e.n); },
    next() { s.step++; s.until = 0; },
    pass() { s.pass++; s.look = true; s.until = 0; },
    left(e) {
      s.look = false;
      s.until = e.at + 1000 * job.pause_s;
      if (s.pass < job.rungs[s.rung].passes) return;
      if (s.rung + 1 < job.rungs.length) { s.rung++; s.pass = 0; } else s.stop = "end_stop";
    },
    residue() { s.look = false; s.last = "residue"; },
    marked() { s.stop = "marked_stop"; },
    clean() { known(); if (job.has_last && s.last !== "was") { s.look = false; s.last = "due"; } else on(); },
    last() { if (s.last === "due") on(); else { s.last = "was"; s.look = true; } },
    slice(e) { s.done++; s.until = e.at + 1000 * job.pause_s; },
    part() { s.parts++; },
  };
  for (const entry of log) if (handlers[entry.what]) handlers[entry.what](entry);
  return s;
}

// By the clock of what shows it: from when the sheet was first followed, until then from now on.
function done(s) {
  const clock = at => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const begun = s.started || Date.now(), at = clock(begun + 1000 * job.total_s);
  $("done").hidden = !job.total_s;
  $("done").textContent = say(s.started ? "done_by" : "done_if", { begun: clock(begun), at });
}

const p = (text, kind = "") => `<p class="${kind}">${text}</p>`;

function counting(s, live, left) {
  const power = job.rungs[s.rung].power;
  if (s.stop) { live.innerHTML = p(say(s.stop), "big"); return { text: say("back"), off: true }; }
  if (s.last === "due" || s.last === "residue") {
    live.innerHTML = p(say("last_now"), "big");
    return { text: say("last_done"), act: () => add("last") };
  }
  if (s.look) {
    const rung = job.rungs[s.rung], more = s.pass < rung.passes ? "left_how" : s.rung + 1 < job.rungs.length ? "left_rung" : "left_end";
    const next = job.rungs[Math.min(s.rung + 1, job.rungs.length - 1)].power;
    const looks = [["clean", "clean_how"], ["left", more], ["residue", "residue_how"], ["marked", "marked_how"]]
      .filter(([what]) => what !== "residue" || job.has_last);
    live.innerHTML = p(say("look", { n: s.pass }), "big") + '<div class="looks">' + looks.map(([what, how]) =>
      `<button data-what="${what}">${say(what)}<small>${say(how, { power: next })}</small></button>`).join("") + "</div>";
    for (const button of live.querySelectorAll("button")) button.onclick = () => add(button.dataset.what);
    return { text: say("choose"), off: true };
  }
  live.innerHTML = p(say("first_power", { power }), "big") + p(say("passes_here")) + p(s.pass, "count")
    + (left ? p(say("wait", { n: left }), "big") : "");
  return left ? { text: say("wait", { n: left }), off: true } : { text: say("pass_done", { n: s.pass + 1 }), act: () => add("pass") };
}

const tally = s => job.all_round ? [s.done - before, s.count] : [s.done, job.slices];

// Parts of a long taper in the order in which they are marked: the one that was tried, then all others.
const order = [job.tried, ...[...Array(job.parts).keys()].filter(n => n !== job.tried)];

function finished(s) {
  const [done, all] = tally(s);
  return job.parts < 2 ? s.done : done >= all ? 1 + s.parts : 0;
}

function rest(s, live, left) {
  const rounds = job.all_round, [done, all] = tally(s), parts = finished(s);
  if (job.parts > 1 && parts && parts < job.parts) {
    const name = boxes[order[parts]].textContent.trim();
    live.innerHTML = p(say("part_type", { power: s.power || job.rungs[0].power, n: s.count }), "big")
      + p(name, "count");
    return { text: say("part_done", { name }), act: () => add("part") };
  }
  if (done >= all) { live.innerHTML = p(say("all_done"), "big"); return { text: say("next"), act: () => add("next") }; }
  const power = s.power || job.rungs[0].power, n = rounds ? 1 : s.count;
  live.innerHTML = p(say("rest_type", { power, n }), "big") + p(say(rounds ? "round" : "slice", { n: done + 1, of: all }), "count")
    + (left ? p(say("wait", { n: left }), "big") : "");
  if (left) return { text: say("wait", { n: left }), off: true };
  return { text: say(rounds ? "round_done" : "slice_done", { n: done + 1 }), act: () => add("slice") };
}

function after(s, live) {
  const minutes = Math.max(1, Math.round((Date.now() - s.started) / 60000));
  const line = say("log", { minutes, n: s.count || 1, power: s.power || job.rungs[0].power });
  live.innerHTML = p(say("write_down")) + `<code>${line.replace(/&/g, "&amp;").replace(/</g, "&lt;")}</code>`;
  return { text: say("copy"), act: () => { if (navigator.clipboard) navigator.clipboard.writeText(line).catch(() => 0); $("main").textContent = say("copied"); } };
}

const before = sections.filter(one => ["first", "second"].includes(one.dataset.step)).length;

function draw() {
  const s = state(), at = Math.min(s.step, sections.length - 1), section = sections[at], kind = section.dataset.step;
  const left = Math.max(0, Math.ceil((s.until - Date.now()) / 1000)), live = section.querySelector(".live");
  document.body.classList.toggle("follow", s.follow);
  $("start").hidden = s.follow;
  $("bar").hidden = !s.follow;
  sections.forEach(one => one.classList.toggle("now", one === section));
  ticks.forEach((tick, n) => { tick.checked = s.ticks.has(n); });
  const ended = finished(s), place = n => job.parts < 2 ? n : order.indexOf(n);
  boxes.forEach((box, n) => { box.classList.toggle("done", place(n) < ended); box.classList.toggle("now", place(n) === ended && kind === "rest"); });
  let main = { text: say("next"), act: () => add("next") };
  if (kind === "first" || kind === "second") main = counting(s, live, left);
  else if (kind === "rest") main = rest(s, live, left);
  else {
    const open = [...section.querySelectorAll("input[type=checkbox]")].filter(tick => !tick.checked).length;
    if (open) main = { text: say("tick_more", { n: open }), off: true };
    else if (kind === "after" || at === sections.length - 1) main = after(s, live);
  }
  done(s);
  $("main").textContent = main.text;
  $("main").disabled = Boolean(main.off);
  $("main").onclick = main.act || null;
  $("back").disabled = log.length < 2;
  if (!saved) $("sheet").textContent = say("whole_lost");
  clearTimeout(draw.timer);
  if (left) draw.timer = setTimeout(draw, 250);
  if (draw.at !== at) { draw.at = at; if (s.follow) scrollTo(0, 0); }
}

ticks.forEach((tick, n) => { tick.onchange = () => { add("tick", { n }); draw(); }; });
$("start").onclick = () => { add("follow"); if (navigator.wakeLock) navigator.wakeLock.request("screen").catch(() => 0); };
$("back").onclick = () => { if (Date.now() < locked) return; locked = Date.now() + LOCK; log.pop(); keep(); draw(); };
$("sheet").onclick = () => add("sheet");
addEventListener("hashchange", () => { const list = stored(); if (list.length > log.length) { log = list; draw(); } });
log = stored();
$("start").hidden = false;
setInterval(() => done(state()), 20000);
draw();
