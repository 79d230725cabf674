"use strict";
// The bench form: reads the fields of a section, says beside each what the schema would refuse, and makes one drop
// file. A field is an element with data-key and data-shape, what holds fields has data-holder; both are made from the
// schemas. Digits are never altered beyond comma to point, and a field that is empty is left out.

const bench = document.getElementById("bench");
const knows = JSON.parse(document.getElementById("knows").textContent);
const byId = (id) => document.getElementById(id);
// From a file a drop is saved and carried; from the drop point it is handed in.
const handsIn = location.protocol.startsWith("http");

// What is kept on this device, where a page may keep anything at all.

const stored = (key) => { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } };
// False where a page may keep nothing, as one from a file, or no more.
function store(key, value) {
  try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; }
}
// By shop and job.
const shelf = {
  name: (key) => ["benchdrop", bench.dataset.site, bench.dataset.slug, key].join("/"),
  get(key) { return stored(this.name(key)); },
  put(key, value) { store(this.name(key), value); },
};

// Fields and what holds them.

const holderOf = (slot) => slot.parentElement.closest("[data-holder]");
const allSlotsOf = (holder) => [...holder.querySelectorAll("[data-key]")].filter((slot) => holderOf(slot) === holder);
const slotsOf = (holder) => allSlotsOf(holder).filter((slot) => !slot.hidden);
const slotNamed = (holder, key) => slotsOf(holder).find((slot) => slot.dataset.key === key);
const inputOf = (slot) => slot.querySelector("input, select, textarea");
const typed = (slot) => inputOf(slot).value.trim();
const itemsOf = (list) => [...list.querySelector(".items").children];
const placesOf = (grid) => [...grid.querySelectorAll("td")];
const bodyOf = (form) => form.querySelector("[data-body]");
const ticked = (slot) => [...slot.querySelectorAll("input:checked")].map((box) => box.value);

// One comma and no point is a decimal comma. Nothing else is touched.
const plain = (text) => (/^[^.,]*,[^.,]*$/.test(text) ? text.replace(",", ".") : text);

// Reading: the value of a field, or undefined where it is empty.

const some = (list) => (list.length > 0 ? list : undefined);
const single = (slot) => typed(slot) || (slot.dataset.empty ? "" : undefined);

const readers = {
  text: single,
  long: single,
  choice: single,
  date: single,
  moment: (slot) => (typed(slot) ? recorded(new Date(typed(slot))) : undefined),
  digits: (slot) => plain(typed(slot)) || undefined,
  integer: (slot) => (typed(slot) === "" ? undefined : /^[0-9]+$/.test(typed(slot)) ? Number(typed(slot)) : NaN),
  yesno: (slot) => ({ yes: true, no: false })[typed(slot)],
  lines: (slot) => some(typed(slot).split("\n").map((line) => line.trim()).filter(Boolean)),
  picks: (slot) => some(ticked(slot).map((value) => (slot.dataset.integers ? Number(value) : value))),
  looked: (slot) => some(ticked(slot).map((part) => ({ part, defect: "nothing found", severity: 0 }))),
  list: (slot) => some(itemsOf(slot).map(readHolder).filter((item) => item !== undefined)),
  object: (slot) => readHolder(slot),
  entry: () => undefined,
  embedded: (slot) => some(slot.kept || []),
  grid: (slot) => some(placesOf(slot).filter((place) => typed(place)).map((place) => reading(slot, place))),
};
const read = (slot) => readers[slot.dataset.shape](slot);

// Where a reading is taken: what stands on its field, its row and its feature.
function placeOf(cell) {
  const { feature } = cell.closest("[data-feature]").dataset;
  return { feature, ...cell.parentElement.dataset, ...cell.dataset };
}

// What the cells of a grid hold: value, deviation or blades.
const entryOf = (grid) => typed(slotNamed(holderOf(grid), "entry"));

// Two blades in one cell: 0.003 0.004, or with a dash or a word between them.
const bladesIn = (text) => text.split(/\s*(?:-|\bto\b)\s*|\s+/).map(plain);

function reading(grid, cell) {
  const entry = entryOf(grid);
  const [goes, not] = bladesIn(typed(cell));
  const said = entry === "blades" ? { "goes-in": goes, "not-in": not } : plain(typed(cell));
  return { ...placeOf(cell), [entry]: said };
}

// A holder says something once a field of its own does; units and what was filled in for the person do not count.
function readHolder(holder) {
  const value = {};
  let said = false;
  for (const slot of slotsOf(holder)) {
    const part = read(slot);
    if (part === undefined) continue;
    const { key } = slot.dataset;
    value[key] = Array.isArray(value[key]) ? value[key].concat(part) : part;
    if (slot.dataset.shape === "grid") value.unit = unitOf(placesOf(slot).find(typed));
    said ||= !slot.dataset.quiet && part !== "";
  }
  for (const slot of slotsOf(holder).filter((slot) => slot.dataset.with)) {
    if (!slot.dataset.with.split(" ").some((key) => key in value)) delete value[slot.dataset.key];
  }
  return said ? value : undefined;
}

// Checking: why a field would be refused, or nothing.

const hintOf = (slot) => {
  const hint = slot.querySelector(":scope > small");
  return hint ? `: ${hint.textContent}` : "";
};
const isAmong = (rule, value) => rule && rule.values.includes(value);
const beside = (slot, key) => {
  const other = slotNamed(holderOf(slot), key);
  return other ? typed(other) : "";
};

function lacking(slot) {
  const when = slot.dataset.neededWhen && JSON.parse(slot.dataset.neededWhen);
  const needed = slot.dataset.needed || (when && isAmong(when, beside(slot, when.key)));
  return needed ? `needed${hintOf(slot)}` : "";
}

// What is no length has its own unit; lengths have the one that is chosen for the set.
function unitOf(place) {
  return place.closest("[data-feature]").dataset.unit || beside(place.closest("[data-key]"), "unit");
}

function decimalsOf(slot) {
  if (slot.dataset.decimals) return Number(slot.dataset.decimals);
  if (slot.matches("td")) return unitOf(slot) === "mm" ? 5 : 6;
  const units = [...slot.closest("form").querySelectorAll('[data-key="unit"]')].filter((unit) => !unit.closest("[hidden]"));
  return units.some((unit) => typed(unit) === "mm") ? 5 : 6;
}

function wrongDigits(text, pattern, slot) {
  if (!new RegExp(pattern).test(text)) return `${text} is not digits with one comma or point`;
  const most = decimalsOf(slot);
  return (text.split(".")[1] || "").length > most ? `${text}: at most ${most} decimals in this unit` : "";
}

function wrongText(slot, value) {
  const { pattern, most } = slot.dataset;
  const long = most && [value].flat().find((line) => line.length > Number(most));
  if (long) return `at most ${most} characters`;
  const bad = pattern && [value].flat().find((line) => !new RegExp(pattern).test(line));
  return bad === undefined || bad === "" || !pattern ? "" : `${bad} is not as asked${hintOf(slot)}`;
}

function wrongNumber(slot, value) {
  const { min, max } = slot.dataset;
  if (!Number.isInteger(value)) return `${typed(slot)} is not a whole number`;
  return value < Number(min) || Number(max) < value ? `${min} to ${max}` : "";
}

function disagrees(slot) {
  const rule = slot.dataset.agrees && JSON.parse(slot.dataset.agrees);
  if (!rule || !beside(slot, rule.key)) return "";
  const is = beside(slot, rule.key) === rule.value;
  if (is === (typed(slot) === rule.then)) return "";
  return is ? `${rule.then} where it is ${rule.value}` : `${rule.then} says ${rule.value}`;
}

function wrong(slot, value) {
  const { shape } = slot.dataset;
  if (shape === "digits" && slot.dataset.length) return wrongDigits(value, slot.dataset.pattern, slot);
  if (shape === "integer") return wrongNumber(slot, value) || disagrees(slot);
  if (["digits", "text", "long", "lines"].includes(shape)) return wrongText(slot, value);
  return "";
}

const empty = (slot) => (inputOf(slot) && inputOf(slot).validity.badInput ? "this is not complete" : lacking(slot));

function say(where, why) {
  let mark = where.querySelector(":scope > .bad");
  if (!mark && why) where.append(mark = element("em", "", { className: "bad" }));
  if (mark) mark.textContent = why;
  return why ? [where] : [];
}

// Says what is wrong in a holder that says something, and returns the fields that have it.
function check(holder) {
  return slotsOf(holder).flatMap((slot) => {
    const value = read(slot);
    if (value === undefined || value === "") return say(slot, value === "" ? "" : empty(slot));
    const inner = slot.dataset.shape === "object" ? check(slot)
      : slot.dataset.shape === "list" ? itemsOf(slot).filter((item) => readHolder(item)).flatMap(check)
      : slot.dataset.shape === "grid" ? placesOf(slot).flatMap((place) => checkPlace(slot, place))
      : [];
    return say(slot, wrong(slot, value)).concat(inner);
  });
}

// What looks like a slip while it is typed: said beside the place, never altered, and handed in all the same. A size far from
// every limit is in another unit or has its point elsewhere; one far from its neighbours has digits swapped or misread.
const FAR = 1.2;
const APART = 8;
function odd(place) {
  const { least, most, in: unit } = place.closest("[data-feature]").dataset;
  if (least === undefined) return "";
  const perMm = { mm: 1, in: 25.4 };
  const factor = (perMm[unitOf(place)] || 1) / (perMm[unit] || 1);
  const value = (one) => Number(plain(typed(one))) * factor;
  const own = value(place);
  if (!Number.isFinite(own)) return "";
  if (own > most * FAR || own < least / FAR) return `far from every limit (${least} to ${most} ${unit}): another unit, or the point elsewhere?`;
  const isNear = (one) => one <= most * FAR && one >= least / FAR;
  const typedOnes = [...place.closest("table").querySelectorAll("td")].filter((one) => one !== place && typed(one));
  const others = typedOnes.map(value).filter(isNear).sort((a, b) => a - b);
  const middle = others[Math.floor(others.length / 2)];
  return others.length > 0 && Math.abs(own - middle) > APART * (most - least) ? "unlike its neighbours: digits swapped or misread?" : "";
}

function doubt(place, words) {
  let mark = place.querySelector(":scope > .odd");
  if (!mark && words) place.append(mark = element("em", "", { className: "odd", role: "status" }));
  if (mark) mark.textContent = words;
}

function wrongBlades(text, pattern, place) {
  const blades = bladesIn(text);
  if (blades.length !== 2) return "two blades: the thickest that goes in and the next that does not, as 0.003 0.004";
  const wrong = blades.map((blade) => wrongDigits(blade, pattern, place)).find(Boolean);
  return wrong || (Number(blades[0]) < Number(blades[1]) ? "" : `${blades[1]} does not go in and ${blades[0]} does: the thicker one stands last`);
}

function checkPlace(grid, place) {
  const entry = entryOf(grid);
  const pattern = { deviation: grid.dataset.deviationPattern, blades: grid.dataset.bladesPattern }[entry] || grid.dataset.pattern;
  doubt(place, typed(place) && entry === "value" ? odd(place) : "");
  if (!typed(place)) return say(place, "");
  const first = placesOf(grid).find(typed);
  const other = unitOf(first) !== unitOf(place);
  if (other) return say(place, `save the readings in ${unitOf(first)} by themselves`);
  return say(place, entry === "blades" ? wrongBlades(typed(place), pattern, place) : wrongDigits(plain(typed(place)), pattern, place));
}

// What one part of a body asks of another.
function checkWhole(form, value) {
  const { anyOf: any, mostOneOf: one } = bodyOf(form).dataset;
  if (value === undefined) return "Nothing is filled in yet.";
  if (any && !any.split(" ").some((key) => key in value)) return `Fill in ${any.replace(" ", " or ")}.`;
  if (one && one.split(" ").filter((key) => key in value).length > 1) return `Only one of ${one.replaceAll(" ", ", ")} in one drop.`;
  const { readings, setting } = value;
  if (readings && readings.some((one) => "deviation" in one) && !setting) return "Deviations need their setting.";
  return "";
}

function checkForm(form) {
  form.querySelectorAll(".bad").forEach((mark) => { mark.textContent = ""; });
  const value = readHolder(bodyOf(form));
  const which = [...form.querySelectorAll("select[data-which]")].filter((select) => !select.value);
  const faults = which.flatMap((select) => say(select.parentElement, "needed: choose one"));
  faults.push(...check(bodyOf(form)));
  const whole = checkWhole(form, value);
  const count = `${faults.length} to put right above.`;
  form.querySelector("[data-whole]").textContent = whole || (faults.length > 0 ? count : "");
  if (faults.length > 0) show(faults[0]);
  return whole || faults.length > 0 ? undefined : value;
}

function show(element) {
  for (let above = element.closest("details"); above; above = above.parentElement.closest("details")) above.open = true;
  const input = element.matches("input") ? element : inputOf(element);
  if (input) input.focus();
}

// The drop: who, when by this device's clock with its offset, and the body.

const two = (number) => String(number).padStart(2, "0");
function parts(now) {
  const date = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  const time = [now.getHours(), now.getMinutes(), now.getSeconds()].map(two);
  const east = -now.getTimezoneOffset();
  const offset = `${east < 0 ? "-" : "+"}${two(Math.floor(Math.abs(east) / 60))}:${two(Math.abs(east) % 60)}`;
  return { date, time, offset, thousandths: String(now.getMilliseconds()).padStart(3, "0") };
}
function recorded(now) {
  const { date, time, offset, thousandths } = parts(now);
  return `${date}T${time.join(":")}.${thousandths}${offset}`;
}

// No two devices make the same name: what it is, whose, when, and chance.
function nameOf(kind, now) {
  const chance = [...crypto.getRandomValues(new Uint8Array(5))].map((byte) => byte.toString(16).padStart(2, "0"));
  const { date, time } = parts(now);
  return `${kind}-${bench.dataset.slug}-${date}-${time.join("")}-${chance.join("")}.json`;
}

function headFaults(form) {
  const needed = [form.dataset.shop ? null : byId("job"), byId("who")].filter(Boolean);
  return needed.filter((input) => say(input.parentElement, input.value.trim() ? "" : "needed").length > 0);
}

// Earlier than now where it says so; never later.
function whenOf(form) {
  const input = whenInput(form);
  const now = new Date();
  const then = input.value ? new Date(input.value) : now;
  const why = then > now ? "that is still to come" : "";
  say(input.parentElement, input.validity.badInput ? "this is not complete" : why);
  if (why || input.validity.badInput) return undefined;
  // A minute is what is typed: within it papers keep the order they were finished in, and no two are of one instant.
  if (input.value) then.setSeconds(now.getSeconds(), now.getMilliseconds());
  return then > now ? now : then;
}

const whenInput = (form) => form.querySelector("[data-when] input");

function dropOf(form, body, then) {
  const now = new Date();
  const drop = { kind: form.dataset.kind, version: 1 };
  if (!form.dataset.shop) drop.job = bench.dataset.job || byId("job").value.trim();
  drop.who = byId("who").value.trim();
  drop.recorded = recorded(then);
  if (byId("device").value.trim()) drop.device = byId("device").value.trim();
  drop.body = body;
  return { name: nameOf(form.dataset.kind, now), text: `${JSON.stringify(drop, null, 1)}\n` };
}

// In a few words what a drop is about, for whoever sees that it was taken.
function aboutOf(form, body) {
  const heading = form.closest("details").querySelector("h2").textContent;
  const first = body.readings?.[0] || body.findings?.[0] || body.torque?.[0] || body.fitted?.[0] || body;
  const named = ["part", "feature", "group", "order", "item", "gauge", "step"].map((key) => body[key] || first[key]).filter(Boolean);
  const which = [body.position || body.positions || first.position, body.event || body.state].flat().filter(Boolean);
  return [heading.split(":")[0], [...named.slice(0, 1), ...which].join(" ")].filter(Boolean).join(", ");
}

// Saving. The same drop can be saved or copied again: its bytes are the same, and it counts once.

function download({ name, text }) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

async function copy(area) {
  area.focus();
  area.select();
  try { await navigator.clipboard.writeText(area.value); } catch { /* it is selected, to be copied by hand */ }
}

function element(name, text, attributes = {}) {
  const made = document.createElement(name);
  made.textContent = text;
  return Object.assign(made, attributes);
}

function shownDrop(drop) {
  const box = element("div", "", { className: "drop" });
  const area = element("textarea", drop.text, { rows: 6, readOnly: true });
  const again = element("button", "Save again", { type: "button", onclick: () => download(drop) });
  const copied = element("button", "Copy as text", { type: "button", onclick: () => copy(area) });
  const buttons = element("p", "", { className: "buttons" });
  buttons.append(again, copied);
  box.append(element("p", `${drop.name}: put this file into the drop folder.`), area, buttons);
  return box;
}

const MOST_KEPT = 10;
function showSaved() {
  const drops = shelf.get("saved") || [];
  const saved = byId("saved");
  saved.hidden = drops.length === 0;
  saved.querySelector("div").replaceChildren(...drops.map(shownDrop));
}

function finish(form, how) {
  const missing = headFaults(form);
  const body = checkForm(form);
  const then = whenOf(form);
  if (missing.length > 0) show(missing[0]);
  if (missing.length > 0 || body === undefined || !then) return;
  const drop = dropOf(form, body, then);
  if (how === "save" && handsIn) {
    const { slug } = bench.dataset;
    handIn({ ...drop, kind: form.dataset.kind, slug, what: aboutOf(form, body), raw: draftOf(form) });
    startAgain(form);
    return;
  }
  shelf.put("saved", [drop, ...(shelf.get("saved") || [])].slice(0, MOST_KEPT));
  showSaved();
  form.querySelectorAll(":scope > .drop").forEach((old) => old.remove());
  const box = shownDrop(drop);
  form.append(box);
  if (how === "save") download(drop);
  else copy(box.querySelector("textarea"));
  startAgain(form);
}

const nameOfPlace = (cell) => JSON.stringify(placeOf(cell));

// Raw content, as typed: what is kept over a reload, and what stays after saving.

const rawOf = {
  // Kept apart, since they may be too large to be kept at all.
  embedded: () => "",
  list: (slot) => itemsOf(slot).map(rawHolder),
  object: (slot) => rawHolder(slot),
  picks: ticked,
  looked: ticked,
  grid: (slot) => Object.fromEntries(placesOf(slot).filter(typed).map((cell) => [nameOfPlace(cell), inputOf(cell).value])),
};
const raw = (slot) => (rawOf[slot.dataset.shape] || ((one) => inputOf(one).value))(slot);
const rawHolder = (holder) => slotsOf(holder).map((slot) => [slot.dataset.key, slot.dataset.shape, raw(slot)]);

const tick = (slot, values) =>
  slot.querySelectorAll("input").forEach((box) => { box.checked = values.includes(box.value); });

function put(slot, value) {
  const { shape } = slot.dataset;
  if (shape === "picks" || shape === "looked") tick(slot, value);
  else if (shape === "embedded") return;
  else if (shape === "object") putHolder(slot, value);
  else if (shape === "grid") placesOf(slot).forEach((cell) => { inputOf(cell).value = value[nameOfPlace(cell)] || ""; });
  else if (shape === "list") value.forEach((item, at) => putHolder(itemsOf(slot)[at] || addItem(slot), item));
  else inputOf(slot).value = value;
  followed(slot);
}

function putHolder(holder, values) {
  for (const [key, shape, value] of values) {
    const slot = allSlotsOf(holder).find((one) => one.dataset.key === key && one.dataset.shape === shape);
    if (!slot) continue;
    if (slot.dataset.alternative) chooseAlternative(holder, key);
    put(slot, value);
  }
}

// Lists, and fields that hang on others.

function fix(slot, value) {
  const input = inputOf(slot);
  input.value = value;
  input.hidden = true;
  slot.dataset.quiet = "yes";
  slot.querySelector("small").hidden = true;
  input.before(element("strong", input.selectedOptions ? input.selectedOptions[0].textContent : value));
}

function addItem(list, row = {}) {
  const item = list.querySelector("template").content.firstElementChild.cloneNode(true);
  list.querySelector(".items").append(item);
  begin(item);
  for (const [key, value] of Object.entries(row)) {
    const slot = slotNamed(item, key);
    if (slot) fix(slot, value);
    else item.prepend(element("p", `${key}: ${value}`, { className: "quiet" }));
    item.querySelectorAll("[data-take-out]").forEach((button) => button.remove());
  }
  return item;
}

function startList(list) {
  const { rows, rowsFollow, first } = list.dataset;
  const own = rows ? JSON.parse(rows) : rowsFollow ? (knows.sizes || {})[beside(list, rowsFollow)] : [];
  list.querySelector(".items").replaceChildren();
  (own || []).forEach((row) => addItem(list, row));
  if (first && !(own && own.length > 0)) addItem(list);
}

function box(value, words, checked) {
  const label = element("label", "");
  label.append(element("input", "", { type: "checkbox", value, checked }), words);
  return label;
}

function refill(picks) {
  const values = (knows[picks.dataset.of] || {})[beside(picks, picks.dataset.follows)] || [];
  const boxes = values.map((value) => box(value, value, values.length === 1 && Boolean(picks.dataset.needed)));
  if (values.length > 1) {
    const all = element("button", "all", { type: "button" });
    all.onclick = () => { tick(picks, values); picks.dispatchEvent(new Event("input", { bubbles: true })); };
    boxes.push(all);
  }
  picks.querySelector(".boxes").replaceChildren(...boxes);
  picks.hidden = values.length === 0;
}

function followed(slot) {
  const near = (query) => [...holderOf(slot).querySelectorAll(query)].filter((one) => holderOf(one) === holderOf(slot));
  near(`[data-follows="${slot.dataset.key}"]`).forEach(refill);
  near(`[data-rows-follow="${slot.dataset.key}"]`).forEach(startList);
  near("[data-usual]").filter((one) => one.dataset.usual.split(" ").includes(slot.dataset.key)).forEach(suggest);
  if (slot.dataset.key === "unit") showUnit(slot);
}

// What usually becomes of such a part: a word beside the field, and a button that writes it there. Nothing fills itself.
function suggest(slot) {
  const [part, defect] = slot.dataset.usual.split(" ").map((key) => beside(slot, key));
  const [word, how] = ((knows.usual || [])[(knows["usual-row"] || {})[part]] || {})[defect] || [];
  slot.querySelectorAll(":scope > .usual").forEach((old) => old.remove());
  if (!word) return;
  const line = element("small", `usual here: ${word}${how ? ` (${how})` : ""} `, { className: "usual" });
  const take = element("button", "fill in", { type: "button" });
  take.onclick = () => {
    inputOf(slot).value = word;
    inputOf(slot).dispatchEvent(new Event("change", { bubbles: true }));
  };
  line.append(take);
  slot.append(line);
}

function showUnit(slot) {
  const lengths = slot.closest("form").querySelectorAll("[data-feature]:not([data-unit]) .unit");
  lengths.forEach((unit) => { unit.textContent = typed(slot); });
}

function chooseAlternative(holder, key) {
  holder.querySelector("select[data-which]").value = key;
  holder.querySelectorAll("[data-alternative]").forEach((one) => { one.hidden = one.dataset.key !== key; });
}

// What the choice before wrote goes first: nothing of it may stand beside this one.
function fill(select) {
  const holder = select.closest("[data-holder]");
  emptyHolder(holder, JSON.parse(select.dataset.filled || "{}"));
  select.dataset.filled = select.value;
  fillHolder(holder, JSON.parse(select.value || "{}"));
}

function emptyHolder(holder, values) {
  // A unit says nothing by itself, and what is typed next needs it.
  for (const slot of allSlotsOf(holder).filter((one) => one.dataset.key in values && !one.dataset.quiet)) {
    const { shape, key } = slot.dataset;
    if (shape === "object") emptyHolder(slot, values[key]);
    else if (shape === "list") startList(slot);
    else put(slot, shape === "picks" ? [] : "");
  }
}

// Values as a drop has them, into their fields: the one that others follow first.
function fillHolder(holder, values) {
  for (const slot of allSlotsOf(holder).filter((one) => one.dataset.key in values)) {
    if (slot.dataset.alternative) chooseAlternative(holder, slot.dataset.key);
    fillSlot(slot, values[slot.dataset.key]);
  }
}

function fillSlot(slot, value) {
  const { shape } = slot.dataset;
  if (shape === "object") fillHolder(slot, value);
  else if (shape === "list") {
    itemsOf(slot).forEach((item) => item.remove());
    value.forEach((item) => fillHolder(addItem(slot), item));
  } else put(slot, shape === "picks" ? value.map(String) : String(value));
}

function begin(root) {
  root.querySelectorAll('[data-shape="embedded"]').forEach((slot) => {
    slot.kept = [];
    slot.querySelector("ul").replaceChildren();
  });
  root.querySelectorAll('[data-shape="list"]').forEach(startList);
  root.querySelectorAll("[data-follows]").forEach(refill);
  root.querySelectorAll("select[data-fills]").forEach((select) => { delete select.dataset.filled; });
  root.querySelectorAll("select[data-which]").forEach((select) => chooseAlternative(select.closest("[data-holder]"), ""));
}

function startAgain(form) {
  const place = [...form.querySelectorAll("td")].find(typed);
  const of = { feature: place && placeOf(place).feature };
  const stays = rawHolder(bodyOf(form)).filter(([key]) => slotNamed(bodyOf(form), key).dataset.stays);
  form.reset();
  begin(form);
  putHolder(bodyOf(form), stays);
  for (const slot of slotsOf(bodyOf(form)).filter((one) => one.dataset.stays)) slot.dataset.stayed = of[slot.dataset.stays] || slot.dataset.stays;
  offerFindings(form, true);
  shelf.put(`pictures/${form.dataset.kind}`, null);
  keep(form);
}

// What is typed is kept until it is saved.

function keep(form) {
  const isEmpty = readHolder(bodyOf(form)) === undefined && whenInput(form).value === "";
  shelf.put(`draft/${form.dataset.kind}`, isEmpty ? null : draftOf(form));
}

function draftOf(form) {
  const stayed = slotsOf(bodyOf(form)).filter((slot) => slot.dataset.stayed).map((slot) => [slot.dataset.key, slot.dataset.stayed]);
  return { fields: rawHolder(bodyOf(form)), when: whenInput(form).value, stayed: Object.fromEntries(stayed) };
}

// What was kept, in its fields again; what only stayed goes on as what stayed.
function putDraft(form, { fields, when, stayed }) {
  putHolder(bodyOf(form), fields);
  whenInput(form).value = when;
  for (const slot of slotsOf(bodyOf(form))) {
    delete slot.dataset.stayed;
    if (slot.dataset.key in stayed) slot.dataset.stayed = stayed[slot.dataset.key];
  }
}

// Something is typed that did not only stay from the paper before.
const isTyped = (form) => slotsOf(bodyOf(form)).some((slot) => {
  const value = slot.dataset.stayed || slot.dataset.quiet ? undefined : read(slot);
  return value !== undefined && value !== "";
});

function changed({ target }) {
  const slot = target.closest("[data-key]");
  if (target.matches("select[data-which]")) chooseAlternative(target.closest("[data-holder]"), target.value);
  if (target.matches("select[data-fills]")) fill(target);
  if (!slot) return;
  letGo(slot, target);
  if (slot.dataset.shape === "embedded") {
    if (target.matches("input")) embed(slot, target);
    return;
  }
  if (target.matches("td input") || slot.dataset.shape === "digits") target.value = plain(target.value.trim());
  followed(slot);
  if (slot.dataset.shape === "date") doubt(slot, typed(slot) && typed(slot) < parts(new Date()).date ? "this day is past" : "");
  if (target.matches("td input")) checkPlace(slot, target.closest("td"));
  else if (["digits", "integer", "text"].includes(slot.dataset.shape)) say(slot, typed(slot) ? wrong(slot, read(slot)) : "");
}

// What stayed goes with what it stayed for, unless it was typed since: a place with its event, a gauge with its feature.
function letGo(slot, target) {
  delete slot.dataset.stayed;
  const stayed = slotsOf(holderOf(slot)).filter((one) => one.dataset.stayed && one.dataset.stayed !== "yes");
  const goes = target.matches("td input")
    ? (one) => one.dataset.stays === "feature" && one.dataset.stayed !== placeOf(target.closest("td")).feature
    : (one) => one.dataset.stayed === slot.dataset.key;
  for (const one of stayed.filter(goes)) {
    put(one, "");
    delete one.dataset.stayed;
    if (one.dataset.stays === "feature") say(one, "another feature: which gauge reads it?");
  }
}

function clicked(form, { target }) {
  if (target.dataset.finish) finish(form, target.dataset.finish);
  if (target.dataset.add) addItem(target.closest('[data-shape="list"]'));
  if (target.dataset.takeOut) target.closest(".item").remove();
  if (target.dataset.add || target.dataset.takeOut) {
    offerFindings(form, target.dataset.add);
    keep(form);
  }
}

function start(form) {
  form.querySelectorAll("td input").forEach((input) => { input.inputMode = "decimal"; });
  begin(form);
  const draft = shelf.get(`draft/${form.dataset.kind}`);
  // What an earlier version of this page kept has another shape.
  if (draft?.fields) putDraft(form, draft);
  holdAgain(form);
  offerFindings(form, true);
  form.addEventListener("change", changed);
  form.addEventListener("change", () => { offerFindings(form, false); keep(form); });
  form.addEventListener("input", () => keep(form));
  form.addEventListener("click", (event) => clicked(form, event));
  form.addEventListener("submit", (event) => event.preventDefault());
}
