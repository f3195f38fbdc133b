// The field page: looks a station up, keeps what is shot, found and said, and hands it back as one file. Everything it
// shows of the plan is set as text, never as markup. Lengths inside are metres.
"use strict";
(() => {
const D = JSON.parse(document.getElementById("plan").textContent);
const byId = (id) => document.getElementById(id);
// A text by its id in the language of the page, with what stands in its holes.
const T = (id, holes) => D.words[id].replace(/\{([a-z-]+)\}/g, (_, name) => holes[name]);
const FOOT = 0.3048, INCH = 0.0254, NEAR = 0.0005;

// Figures.
const rounded = (value, places) => {
  const scale = Math.pow(10, places), snapped = Math.round(value * 1e6) / 1e6;
  return Math.floor(snapped * scale + 0.5 + 1e-9 * scale) / scale || 0;
};
const number = (metres, places) => rounded(metres / D.units.m, places).toFixed(places).replace("-", "−");
// Levels are rounded once, and cuts are the differences of what is printed, as on the cut sheets.
const PLACES = D.units.feet ? 2 : 3;
const printed = (metres) => rounded(metres / D.units.m, PLACES) * D.units.m;
const fine = (metres) => number(metres, PLACES);
const length = (metres) => fine(metres) + " " + D.units.sign;
const way = (metres) => number(metres, D.units.feet ? 0 : 1) + " " + D.units.sign;
const level = (metres) => number(metres, 3).replace(/0$/, "");
const pad = (value, width) => ("0000" + value).slice(-width);
const station = (metres) => {
  const tenths = rounded(metres / D.units.m, 1), full = Math.floor(tenths / 100), rest = tenths - full * 100;
  return full + "+" + (Math.abs(rest - Math.round(rest)) < 0.05 ? pad(rest.toFixed(0), 2) : pad(rest.toFixed(1), 4));
};
const beside = (metres) => {
  if (!D.units.feet) return rounded(metres * 1000, 0).toFixed(0) + " mm";
  const all = rounded(Math.abs(metres) / FOOT * 96, 0), feet = Math.floor(all / 96), part = all % 8;
  const over = ["", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8", " 3/4", " 7/8"][part];
  return (metres < 0 && all > 0 ? "−" : "") + feet + "'-" + Math.floor(all % 96 / 8) + over + '"';
};
const grade = (ratio) => {
  const size = Math.abs(ratio), way = T(ratio > 0 ? "falls" : ratio < 0 ? "rises" : "level-grade");
  return rounded(size * 100, size < 0.001 ? 3 : 2).toFixed(size < 0.001 ? 3 : 2) + " % " + way;
};

// What is typed: a bare number is in the plan's unit.
const plainNumber = (text) => (/^[+-]?(\d+\.?\d*|\.\d+)$/.test(text.trim()) ? parseFloat(text) : NaN);
const inches = (text) => text.trim().split(/\s+/).reduce((sum, part) => {
  const over = part.split("/");
  return sum + (over.length === 2 ? plainNumber(over[0]) / plainNumber(over[1]) : plainNumber(part));
}, 0);
const measured = (typed) => {
  const text = typed.trim().toLowerCase().replace(/−/g, "-").replace(/[′’]/g, "'").replace(/[″”]/g, '"').replace(/^(\d+),(\d+)/, "$1.$2");
  const feet = /^([^'f]+)(?:'|ft)\s*-?\s*(.*)$/.exec(text);
  if (feet) {
    const more = feet[2].replace(/("|in)$/, ""), sign = /^-/.test(feet[1]) ? -1 : 1;
    return plainNumber(feet[1]) * (D.units.feet ? D.units.m : FOOT) + sign * (more ? inches(more) * INCH : 0);
  }
  const unit = /^(.+?)\s*(mm|cm|m|in|")$/.exec(text);
  if (!unit) return plainNumber(text) * D.units.m;
  if (unit[2] === "in" || unit[2] === '"') return inches(unit[1]) * INCH;
  return plainNumber(unit[1]) * { mm: 0.001, cm: 0.01, m: 1 }[unit[2]];
};
const pipeSize = (typed) => {
  const bare = plainNumber(typed);
  return isNaN(bare) ? measured(typed) : bare < 40 ? bare * INCH : bare / 1000;
};
const stationTyped = (typed) => {
  const parts = typed.trim().split("+");
  if (parts.length === 2) return (plainNumber(parts[0]) * 100 + plainNumber(parts[1])) * D.units.m;
  return plainNumber(typed) * D.units.m;
};

// Places: metres from the map's south-west corner.
const pieces = (course) => {
  const found = [];
  let from = 0;
  for (let i = 1; i < course.length; i++) {
    const a = course[i - 1], b = course[i], long = Math.hypot(b[0] - a[0], b[1] - a[1]);
    found.push({ a, b, from, long });
    from += long;
  }
  return found;
};
const between = (a, b, t) => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
const placeAt = (line, s) => {
  const all = pieces(line.course), piece = all.filter((one) => one.from <= s).pop() || all[0];
  return between(piece.a, piece.b, piece.long ? Math.min(1, (s - piece.from) / piece.long) : 0);
};
const nearest = (line, at) => {
  let best = { off: Infinity, s: 0 };
  for (const { a, b, from, long } of pieces(line.course)) {
    const dot = (at[0] - a[0]) * (b[0] - a[0]) + (at[1] - a[1]) * (b[1] - a[1]);
    const t = long ? Math.max(0, Math.min(1, dot / long / long)) : 0, p = between(a, b, t);
    const off = Math.hypot(p[0] - at[0], p[1] - at[1]);
    if (off < best.off) best = { off, s: from + t * long };
  }
  return best;
};
const planePlace = (at) => [at[0] + D.origin[0], at[1] + D.origin[1]];
const degrees = (at) => {
  const near = D.degrees;
  if (!near) return null;
  const [x, y] = planePlace(at), dx = x - near.at[0], dy = y - near.at[1];
  const angle = (of) => Math.round((of[0] + of[1] * dx + of[2] * dy) * 1e8) / 1e8;
  return [angle(near.lon), angle(near.lat)];
};

// A line at a station: as its cut sheet has it, and exactly between the rows.
const groundAt = (line, s) => {
  for (const part of line.ground) {
    for (let i = 1; i < part.length; i++) {
      const [from, low] = part[i - 1], [to, high] = part[i];
      if (s >= from - NEAR && s <= to + NEAR) return low + (high - low) * (to > from ? (s - from) / (to - from) : 0);
    }
  }
  return null;
};
const lookUp = (line, s) => {
  const rows = line.rows, own = rows.find((row) => Math.abs(row.s - s) <= NEAR);
  const next = rows.find((row) => row.s > s + NEAR), last = rows.filter((row) => row.s <= s + NEAR).pop();
  if (!last || (!own && !next)) return null;
  const noDig = own ? own.n : line.open.some((open) => open[6] && open[1] < s && open[2] > s);
  const ground = own ? own.z : groundAt(line, s), hub = own && own.hub;
  const invert = -printed(-(own ? own.i : next.i - last.g * (next.s - s))), from = hub ? hub[0] : ground;
  const cut = noDig || from === null ? null : printed(from) - invert;
  return {
    s, row: own, noDig, ground, invert, hub, cut, below: printed(own ? own.b : last.u), grade: last.g, next: next && next.s,
    here: own ? own.here : [],
    ahead: line.ahead.filter((ahead) => ahead[0] > s + NEAR).sort((a, b) => a[0] - b[0]).slice(0, 3),
    fitting: rows.find((row) => row.s > s + NEAR && row.here.length),
    open: line.open.filter((open) => open[1] <= s + NEAR && open[2] >= s - NEAR),
  };
};

// What is kept on the phone. Where it lets the page keep nothing, each entry is handed back at once. The page may be open
// twice: what the other one kept meanwhile stays, but for what was taken out here.
const STORE = "drainwright field " + D.mark + " " + D.plan;
const letters = (count) => {
  const bytes = new Uint8Array(count);
  if (window.crypto && crypto.getRandomValues) crypto.getRandomValues(bytes);
  else bytes.forEach((_, i) => { bytes[i] = Math.random() * 256; });
  return Array.from(bytes, (byte) => "abcdefghijkmnpqrstuvwxyz23456789"[byte % 32]).join("");
};
let kept = { phone: letters(10), count: 0, who: "", plane: "", entries: [], out: [] };
let keeps = true;
const read = () => {
  try {
    const text = localStorage.getItem(STORE);
    if (text) kept = Object.assign(kept, JSON.parse(text));
  } catch (refused) {
    keeps = false;
  }
};
const keyOf = (entry) => entry.properties.key;
const merge = () => {
  const there = JSON.parse(localStorage.getItem(STORE) || '{"entries":[]}').entries, own = kept.entries.map(keyOf);
  kept.entries = kept.entries.concat(there.filter((entry) => !own.includes(keyOf(entry)) && !kept.out.includes(keyOf(entry))));
};
const keep = () => {
  try {
    merge();
    localStorage.setItem(STORE, JSON.stringify(kept));
    keeps = localStorage.getItem(STORE) !== null;
  } catch (refused) {
    keeps = false;
  }
};

// Entries that another page of the plan, by other sheets, still holds on this phone.
const elsewhere = () => {
  let count = 0;
  for (let i = 0; keeps && i < localStorage.length; i++) {
    const key = localStorage.key(i);
    if (!key.startsWith("drainwright field ") || !key.endsWith(" " + D.plan) || key === STORE) continue;
    count += (localStorage.getItem(key).match(/"handed":false/g) || []).length;
  }
  return count;
};

// Elements.
const el = (tag, attributes, ...inside) => {
  const made = document.createElement(tag);
  for (const name of Object.keys(attributes || {})) {
    const value = attributes[name];
    if (typeof value === "function") made.addEventListener(name, value);
    else if (value !== null && value !== undefined && value !== false) made.setAttribute(name, value);
  }
  made.append(...inside.filter((one) => one !== null && one !== undefined));
  return made;
};
const choice = (name, pairs, chosen) => el("select", { name }, ...pairs.map(([value, words]) =>
  el("option", { value, selected: value === chosen ? "" : null }, words)));
const field = (words, input) => el("label", {}, el("span", {}, words), input);
const fill = (place, inside) => {
  place.textContent = "";
  place.append(...inside);
};
const typed = (name, value, attributes) => el("input", Object.assign({ name, value: value || "", autocomplete: "off" }, attributes));
const figure = (name, value) => typed(name, value, { inputmode: "decimal" });
const fact = (words, value) => el("div", {}, el("dt", {}, words), el("dd", {}, value));
const button = (words, click, most) => el("button", { type: "button", class: most ? "most" : null, click }, words);

const S = { line: 0, s: 0, place: null, form: null, told: "" };
const line = () => D.lines[S.line];

// Today by the phone, against the tickets.
const today = () => {
  const now = new Date();
  return now.getFullYear() + "-" + pad(now.getMonth() + 1, 2) + "-" + pad(now.getDate(), 2);
};
const clock = () => today() + "T" + pad(new Date().getHours(), 2) + ":" + pad(new Date().getMinutes(), 2);
const days = (until) => Math.round((Date.parse(until + "T00:00Z") - Date.parse(today() + "T00:00Z")) / 864e5);
const ticketWords = ({ what, ticket, until }) => {
  if (!ticket) return [T("no-ticket", { what }), true];
  if (!until) return [T("no-day", { what, ticket }), true];
  const left = days(until), one = Math.abs(left) === 1 ? "-one" : "";
  if (left < 0) return [T("ran-out" + one, { what, ticket, days: -left, until }), true];
  return [T(left === 0 ? "today" : "runs-out" + one, { what, ticket, days: left, until }), left < 3];
};
const showTickets = () => {
  if (!D.tickets.length) return;
  const words = D.tickets.map(ticketWords).map(([text, heavy]) => el("p", { class: heavy ? "alarm" : null }, text));
  fill(byId("tickets"), words.concat(el("p", { class: "soft" }, T("by-phone", { today: today() }))));
};

// The tapped place.
const showLine = () => {
  const at = lookUp(line(), S.s), chosen = D.lines.map((one, i) => [String(i), one.name + ", " + one.words]);
  const pick = choice("line", chosen, String(S.line));
  pick.setAttribute("aria-label", T("line"));
  pick.addEventListener("change", () => go(Number(pick.value), D.lines[pick.value].rows[0].s));
  const chip = (row) => el("button", { type: "button", "aria-pressed": String(Math.abs(row.s - S.s) <= NEAR), click: () => go(S.line, row.s) }, station(row.s));
  const other = typed("station", station(S.s), { "aria-label": T("station"), inputmode: "text" });
  other.addEventListener("change", () => goTyped(other.value));
  return [
    el("div", { class: "bar" }, el("label", { class: "more" }, el("span", {}, T("line")), pick), field(T("station"), other)),
    el("div", { class: "chips", role: "group", "aria-label": T("stations") }, ...line().rows.map(chip)),
    ...(at ? showFigures(at) : [el("p", { class: "stop" }, T("no-level", { station: station(S.s) }))]),
  ];
};
const showFigures = (at) => [
  at.noDig ? el("p", { class: "stop" }, T("no-dig", { station: station(at.s) })) : cutWords(at),
  el("dl", {}, ...facts(at)),
  ...at.here.map((words) => el("p", { class: "said" }, el("b", {}, T("here") + " "), words)),
  at.fitting ? el("p", { class: "said" }, el("b", {}, T("next-fitting", { way: way(at.fitting.s - at.s) }) + " "), station(at.fitting.s) + " " + at.fitting.here.join("; ")) : "",
  ...at.ahead.map(([s, words]) => el("p", { class: "ahead" }, el("b", {}, T("ahead", { way: way(s - at.s) }) + " "), words)),
  ...at.open.map((open) => el("p", { class: open[5] ? "said heavy" : "said" }, el("b", {}, open[0] + "  " + open[3] + ": "), open[4])),
];
const cutWords = (at) => {
  if (at.cut === null) return el("p", { class: "stop" }, T("not-known", { station: station(at.s) }));
  const side = at.hub && (at.hub[1] ? (at.hub[1] > 0 ? "hub-left" : "hub-right") : "hub");
  const from = side ? T(side, { off: length(Math.abs(at.hub[1])) }) : T("from-ground");
  const up = at.cut < 0 ? el("p", { class: "alarm" }, T("goes-up")) : null;
  return el("div", {}, el("div", { class: "soft" }, from), el("div", { class: "cut" }, el("b", {}, length(at.cut)), el("span", {}, beside(at.cut))), ...[up].filter(Boolean));
};
const facts = (at) => {
  const plane = measured(kept.plane || ""), rows = [];
  if (at.cut !== null) rows.push(fact(T("to-bottom"), length(at.cut + at.below)));
  rows.push(fact(T("ground"), at.ground === null ? T("unknown") : fine(at.ground)));
  rows.push(fact(T("invert"), fine(at.invert)));
  if (at.next !== undefined && at.next !== null) rows.push(fact(T("grade", { station: station(at.next) }), grade(at.grade)));
  if (!at.noDig && !isNaN(plane)) {
    rows.push(fact(T("rod", { level: level(plane) }), length(printed(plane) - at.invert)));
    rows.push(fact(T("rod-bottom"), length(printed(plane) - at.invert + at.below)));
  }
  return rows;
};
const planeField = (input) => field(T("plane"), input);
const livePlane = () => {
  const input = figure("plane", kept.plane);
  input.addEventListener("change", () => { kept.plane = input.value; keep(); show(); });
  return planeField(input);
};
const showPlace = () => {
  const [x, y] = planePlace(S.place), figureOf = (value) => (value / D.across.m).toFixed(1);
  return [
    el("p", {}, el("b", {}, T("beside") + " "), "E " + figureOf(x) + "  N " + figureOf(y) + " " + D.across.sign),
    D.lines.length ? button(T("back", { name: line().name, station: station(S.s) }), () => go(S.line, S.s)) : null,
  ].filter(Boolean);
};

// Forms.
const who = () => field(T("who"), typed("who", kept.who, { required: "", maxlength: 80, autocomplete: "name" }));
const levelFields = (words) => [
  planeField(figure("plane", kept.plane)),
  el("div", { class: "bar" }, field(T("rod-reading"), figure("rod")), field(words, figure("level"))),
];
const forms = {
  shot: () => [T("shot"), [
    field(T("held-on"), choice("on", D.choices.on, "invert")), ...levelFields(T("level-itself")),
    field(T("remark"), typed("note", "", { maxlength: 500 })), who(),
  ], T("keep-shot")],
  find: () => [T("find"), [
    el("div", { class: "bar" }, field(T("easting"), figure("east")), field(T("northing"), figure("north"))),
    ...levelFields(T("its-invert")),
    el("div", { class: "bar" }, field(T("diameter"), figure("size")), field(T("made"), choice("material", D.choices.material))),
    el("div", { class: "bar" }, field(T("falls-toward"), choice("falls", COMPASS)), field(T("water"), choice("running", D.choices.running))),
    el("div", { class: "bar" }, field(T("bucket", { unit: D.bucket.sign }), figure("bucket")), field(T("seconds"), figure("seconds"))),
    el("div", { class: "bar" }, field(T("silt"), figure("silt")), field(T("condition"), choice("condition", D.choices.condition))),
    field(T("photo"), typed("photo", "", { maxlength: 120 })),
    field(T("remark"), typed("note", "", { maxlength: 500 })), who(),
    el("p", { class: "alarm" }, T("do-not-plug")),
  ], T("keep-find")],
  note: () => [T("note"), [
    field(T("about"), choice("about", D.choices.about)), field(T("note-text"), el("textarea", { name: "says", maxlength: 4000 })),
    field(T("photo"), typed("photo", "", { maxlength: 120 })),
    field(T("agreed"), typed("agreed", "", { maxlength: 80 })), who(),
  ], T("keep-note")],
};
const COMPASS = [["", T("not-known-way")]].concat(["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"]
  .map((way, i) => [String(45 * i), T(way)]));
const showForm = () => {
  const [title, fields, word] = forms[S.form]();
  const head = S.place ? T("on-map", { title }) : T("at", { title, name: line().name, station: station(S.s) });
  const wrong = el("p", { class: "alarm", role: "alert" });
  const submit = (event) => {
    event.preventDefault();
    try {
      add(entryOf(S.form, new FormData(event.target)));
    } catch (error) {
      wrong.textContent = error.message;
    }
  };
  return el("form", { submit, novalidate: "", "aria-label": title }, el("h2", {}, head), ...fields, wrong,
    el("div", { class: "bar" }, el("button", { class: "most", type: "submit" }, word), button(T("cancel"), () => { S.form = null; show(); })));
};

// Entries.
const wanted = (what, found, expected) => { throw new Error(T("wanted", { what, found, expected })); };
const amount = (data, name, what, read, least, most) => {
  const text = (data.get(name) || "").trim();
  if (!text) return null;
  const value = read(text);
  if (isNaN(value)) wanted(what, text, T(D.units.feet ? "such-feet" : "such-meters"));
  if (value < least || value > most) wanted(what, text, T("between", { least: number(least, 2), most: length(most) }));
  return value;
};
const levelOf = (data) => {
  const said = amount(data, "level", T("level"), measured, -12000, 12000);
  if (said !== null) return { level_m: said };
  const rod = amount(data, "rod", T("rod-reading"), measured, -12, 12);
  if (rod === null) return null;
  const plane = amount(data, "plane", T("instrument"), measured, -12000, 12000);
  if (plane === null) wanted(T("instrument"), "", T("plane-wanted"));
  return { level_m: plane - rod, rod_m: rod, plane_m: plane };
};
const where = (data) => {
  const east = amount(data, "east", T("easting-alone"), (text) => plainNumber(text) * D.across.m, -1e8, 1e8);
  const north = amount(data, "north", T("northing"), (text) => plainNumber(text) * D.across.m, -1e8, 1e8);
  if ((east === null) !== (north === null)) wanted(T("typed-place"), T("one-figure"), T("both"));
  const place = east !== null ? [east - D.origin[0], north - D.origin[1]] : S.place;
  const at = place || placeAt(line(), S.s), [x, y] = planePlace(at);
  const on = place ? {} : { line: line().name, line_id: line().id, station_m: S.s };
  return { at, properties: Object.assign(on, { easting_m: x, northing_m: y }) };
};
const kinds = {
  shot: (data) => {
    const found = levelOf(data);
    if (!found) wanted(T("shot-short"), T("neither"), T("one-of-two"));
    return Object.assign({ on: data.get("on"), note: data.get("note").trim() }, found);
  },
  find: (data) => {
    const found = levelOf(data), running = data.get("running");
    const bucket = amount(data, "bucket", T("bucket-short"), (text) => plainNumber(text) * D.bucket.m3, 1e-5, 1);
    const seconds = amount(data, "seconds", T("seconds-short"), plainNumber, 0.1, 86400);
    if (running === "flow" && (!bucket || !seconds)) wanted(T("water"), T("no-bucket"), T("bucket-wanted"));
    return {
      invert_m: found && found.level_m, rod_m: found && found.rod_m, plane_m: found && found.plane_m,
      size_m: amount(data, "size", T("diameter"), pipeSize, 0.02, 2), material: data.get("material"),
      falls_deg: data.get("falls") ? Number(data.get("falls")) : null,
      running, flow_m3s: running === "flow" ? bucket / seconds : null, bucket_m3: bucket, bucket_s: seconds,
      silt_m: amount(data, "silt", T("silt-short"), measured, 0, 2), condition: data.get("condition"),
      photo: data.get("photo").trim(), note: data.get("note").trim(),
    };
  },
  note: (data) => {
    const says = data.get("says").trim(), photo = data.get("photo").trim();
    if (!says && !photo) wanted(T("note-text"), T("nothing"), T("some-words"));
    return { about: data.get("about"), says, photo, agreed_by: data.get("agreed").trim() };
  },
};
const entryOf = (kind, data) => {
  const by = (data.get("who") || "").trim();
  if (!by) wanted(T("who"), T("nothing"), T("name-wanted"));
  const { at, properties } = where(data), own = kinds[kind](data);
  kept.who = by;
  if (data.get("plane")) kept.plane = data.get("plane").trim();
  kept.count += 1;
  const key = kept.phone + "." + Date.now().toString(36) + "." + kept.count;
  const all = Object.assign({ what: kind, key, by, at: clock(), revision: D.revision }, properties, own);
  Object.keys(all).forEach((name) => (all[name] === null || all[name] === undefined || all[name] === "") && delete all[name]);
  if (kind === "note") all.says = all.says || "";
  return { at, handed: false, properties: all };
};
const add = (entry) => {
  kept.entries.push(entry);
  keep();
  S.form = null;
  S.told = told(entry);
  show();
  if (!keeps) handBack();
};
const told = ({ properties }) => {
  const one = D.lines.find((other) => other.id === properties.line_id), at = one && lookUp(one, properties.station_m);
  const found = properties.what === "find" ? properties.invert_m : properties.on === "invert" ? properties.level_m : undefined;
  if (!at || found === undefined) return T("kept");
  const off = found - at.invert;
  return T(off < 0 ? "kept-below" : "kept-above", { off: length(Math.abs(off)) });
};
const entryWords = (entry) => {
  const p = entry.properties, figureOf = p.what === "shot" ? p.level_m : p.invert_m;
  const spot = p.line ? p.line + " " + station(p.station_m) : T("beside-lines");
  const what = T({ shot: "shot-short", find: "found-short", note: "note-text" }[p.what]);
  return what + ", " + spot + (figureOf === undefined ? "" : ", " + level(figureOf)) + (p.says ? ": " + p.says : "") + ". " + p.by + ", " + p.at.replace("T", " ");
};

// Handing back.
const handedText = () => {
  const feature = ({ at, properties }) => {
    const coordinates = degrees(at);
    return { type: "Feature", id: properties.key, geometry: coordinates && { type: "Point", coordinates }, properties };
  };
  const head = { type: "FeatureCollection", format: D.format, plan: D.plan, revision: D.revision, mark: D.mark, first: D.first, caution: D.caution };
  return JSON.stringify(Object.assign(head, { features: kept.entries.map(feature) }), null, 1) + "\n";
};
const handBack = () => {
  const name = (D.plan.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-|-$/g, "") || "plan") + "-field-" + today() + "-" + kept.phone.slice(0, 4) + ".geojson";
  const link = el("a", { href: URL.createObjectURL(new Blob([handedText()], { type: "application/geo+json" })), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  handed(T(keeps ? "handed-as" : "save-now", { name }));
};
const handed = (words) => {
  kept.entries.forEach((entry) => { entry.handed = true; });
  keep();
  S.told = words;
  show();
};
const copy = (area) => {
  area.focus();
  area.select();
  if (document.execCommand("copy")) handed(T("copied"));
  else S.told = T("no-copy");
};
const showEntries = () => {
  const open = kept.entries.filter((entry) => !entry.handed).length, out = [];
  out.push(el("h2", {}, T("on-phone")));
  if (!keeps) out.push(el("p", { class: "alarm", id: "refused" }, T("refused")));
  out.push(el("p", { class: open ? "alarm" : null, id: "open-count" }, kept.entries.length ? T("open-count", { open, all: kept.entries.length }) : T("nothing-entered")));
  const other = elsewhere();
  if (other) out.push(el("p", { class: "alarm" }, T("elsewhere", { count: other })));
  if (!kept.entries.length) return out;
  const drop = (entry) => button(T("take-out"), () => { kept.out.push(keyOf(entry)); kept.entries = kept.entries.filter((other) => other !== entry); keep(); show(); });
  out.push(...kept.entries.map((entry) => el("div", { class: "entry" }, el("span", {}, entryWords(entry)), entry.handed ? el("span", { class: "soft" }, T("handed-back")) : drop(entry))));
  const area = el("textarea", { readonly: "", "aria-label": T("all-entries"), id: "all-entries" }, handedText());
  out.push(el("div", { class: "bar" }, button(T("hand-back"), handBack, true), button(T("copy"), () => copy(area))), field(T("all-entries"), area));
  return out;
};

// The map: pinch, drag, tap.
const svg = document.querySelector("#map svg"), whole = svg.viewBox.baseVal, full = [whole.x, whole.y, whole.width, whole.height];
const type = Number(svg.getAttribute("font-size"));
let seen = full.slice();
const NS = "http://www.w3.org/2000/svg";
const setView = (next) => {
  const wide = Math.max(full[2] / 60, Math.min(full[2] * 1.5, next[2])), tall = wide * full[3] / full[2];
  seen = [next[0] + (next[2] - wide) / 2, next[1] + (next[3] - tall) / 2, wide, tall];
  svg.setAttribute("viewBox", seen.join(" "));
  svg.setAttribute("font-size", Math.max(type * wide / full[2], 13 * metresPerPixel()).toFixed(2));
};
const metresPerPixel = () => {
  const box = svg.getBoundingClientRect();
  return Math.max(seen[2] / Math.max(1, box.width), seen[3] / Math.max(1, box.height));
};
const onMap = (x, y) => {
  const box = svg.getBoundingClientRect(), k = metresPerPixel();
  return [seen[0] + seen[2] / 2 + (x - box.left - box.width / 2) * k, seen[1] + seen[3] / 2 + (y - box.top - box.height / 2) * k];
};
const zoom = (by, [x, y]) => setView([x - (x - seen[0]) / by, y - (y - seen[1]) / by, seen[2] / by, seen[3] / by]);
const middle = () => [seen[0] + seen[2] / 2, seen[1] + seen[3] / 2];
const fingers = new Map();
let moved = 0;
const drag = (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) return;
  const others = Array.from(fingers.entries()).filter(([id]) => id !== event.pointerId).map(([, at]) => at);
  const now = [event.clientX, event.clientY];
  moved += Math.hypot(now[0] - before[0], now[1] - before[1]);
  fingers.set(event.pointerId, now);
  if (others.length) {
    const apart = (one) => Math.max(1, Math.hypot(one[0] - others[0][0], one[1] - others[0][1]));
    zoom(apart(now) / apart(before), onMap((now[0] + others[0][0]) / 2, (now[1] + others[0][1]) / 2));
  } else if (moved > 8) {
    const k = metresPerPixel();
    setView([seen[0] - (now[0] - before[0]) * k, seen[1] - (now[1] - before[1]) * k, seen[2], seen[3]]);
  }
};
const tap = (event) => {
  const [x, y] = onMap(event.clientX, event.clientY), at = [x, D.high - y];
  const near = D.lines.map((one, i) => Object.assign({ i }, nearest(one, at))).sort((a, b) => a.off - b.off)[0];
  if (near && near.off <= 24 * metresPerPixel()) go(near.i, near.s);
  else { S.place = at; S.form = null; show(); }
};
const showDots = () => {
  const group = document.createElementNS(NS, "g"), dot = (at, name) => {
    const path = document.createElementNS(NS, "path"), x = at[0].toFixed(2), y = (D.high - at[1]).toFixed(2);
    path.setAttribute("class", name);
    path.setAttribute("d", "M" + x + " " + y + "L" + x + " " + y);
    group.append(path);
  };
  kept.entries.forEach((entry) => dot(entry.at, "own"));
  const at = S.place || (D.lines.length ? placeAt(line(), S.s) : null);
  if (at) { dot(at, "spot"); dot(at, "spot in"); }
  group.id = "dots";
  const old = byId("dots");
  if (old) old.replaceWith(group); else svg.append(group);
};
const liveMap = () => {
  svg.addEventListener("pointerdown", (event) => {
    if (!fingers.size) moved = 0;
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", drag);
  svg.addEventListener("pointerup", (event) => {
    if (fingers.size === 1 && moved <= 8) tap(event);
    fingers.delete(event.pointerId);
  });
  svg.addEventListener("pointercancel", (event) => fingers.delete(event.pointerId));
  svg.addEventListener("wheel", (event) => {
    event.preventDefault();
    zoom(event.deltaY < 0 ? 1.25 : 0.8, onMap(event.clientX, event.clientY));
  }, { passive: false });
  byId("map").append(el("div", { class: "bar" }, button(T("nearer"), () => zoom(1.6, middle())), button(T("farther"), () => zoom(1 / 1.6, middle())), button(T("whole"), () => setView(full))));
  setView(full);
};

// The whole.
const go = (index, s) => { Object.assign(S, { line: index, s, place: null, form: null, told: "" }); show(); };
const goTyped = (text) => {
  const s = stationTyped(text);
  if (s >= 0 && s <= line().length + NEAR) return go(S.line, Math.min(s, line().length));
  S.told = T("station-wrong", { text, end: station(line().length) });
  show();
};
const show = () => {
  const out = S.place || !D.lines.length ? (S.place ? showPlace() : [el("p", {}, T("no-lines"))]) : showLine();
  if (S.form) out.push(showForm());
  else {
    if (D.lines.length && !S.place) out.push(livePlane());
    const open = (form) => () => { S.form = form; S.told = ""; show(); byId("here").querySelector("form").scrollIntoView(); };
    if (D.lines.length && !S.place) out.push(el("div", { class: "bar" }, button(T("shot-here"), open("shot"), true)));
    if (D.lines.length || S.place) out.push(el("div", { class: "bar" }, button(T("found-short"), open("find")), button(T("note"), open("note"))));
  }
  out.push(el("p", { role: "status", id: "told" }, S.told), ...showEntries());
  const chips = byId("here").querySelector(".chips"), left = chips ? chips.scrollLeft : 0;
  fill(byId("here"), out);
  const row = byId("here").querySelector(".chips");
  if (row) row.scrollLeft = left;
  showDots();
};
read();
if (keeps) keep();
if (D.lines.length) S.s = D.lines[0].rows[0].s;
document.documentElement.classList.add("live");
showTickets();
liveMap();
show();
})();
