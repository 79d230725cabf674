
// Handing in. A form that comes from the drop point gives its drops there itself: each is kept on this device until the
// shop says that it has it, and goes again with the same bytes after whatever went wrong, so that it counts once. What waits
// is this device's, not this page's: whichever form is opened next goes on with it, and no page overwrites another's.

const LONGEST_PAUSE = 60000;
const LONGEST_ANSWER = 90000;
const MOST_TOLD = 20;
const TOLD_FOR = 12 * 3600000;
const MOST_TEXT = 20000;
const MOST_HEARINGS = 12;
const CLOCKS_APART = 90000;
const UNSENT = ["benchdrop", bench.dataset.site, "unsent", ""].join("/");
const TOLD = ["benchdrop", bench.dataset.site, "told"].join("/");
// `loose` and `told` are what this device cannot keep, for as long as the page is open.
const handing = { loose: [], told: null, why: "", busy: false, pause: 2000 };

// Oldest first: keys begin with when it was finished.
function unsent() {
  let keys = [];
  try { keys = Object.keys(localStorage).filter((key) => key.startsWith(UNSENT)).sort(); } catch { /* nothing is kept here */ }
  return [...keys.map((key) => ({ key, ...stored(key) })).filter((drop) => drop.text), ...handing.loose];
}

function forget(drop) {
  if (drop.key) localStorage.removeItem(drop.key);
  else handing.loose = handing.loose.filter((loose) => loose !== drop);
}

// What was handed in, newest first. What is settled is told for some hours, what was returned until it is put away.
function told() {
  const now = Date.now();
  return (handing.told || stored(TOLD) || []).filter((one) => one.slip || one.refused || now - one.at < TOLD_FOR);
}

function tell(change) {
  const all = change(told()).slice(0, MOST_TOLD);
  handing.told = store(TOLD, all) ? null : all;
  showHanding();
}

const sameOne = (one) => (other) => other.name === one.name && other.at === one.at;
const amend = (one, more) => tell((all) => all.map((other) => (sameOne(one)(other) ? { ...other, ...more } : other)));

function handIn(drop) {
  if (!store(`${UNSENT}${Date.now()}/${drop.name}`, drop)) handing.loose.push(drop);
  handing.pause = 2000;
  handOn();
}

async function handOn() {
  if (handing.busy) return;
  handing.busy = true;
  clearTimeout(handing.next);
  showHanding();
  await handAll();
  handing.busy = false;
  showHanding();
  if (unsent().length === 0) return;
  handing.next = setTimeout(handOn, handing.pause);
  handing.pause = Math.min(handing.pause * 2, LONGEST_PAUSE);
}

// Two pages of one device may both hand in what waited: it counts once.
async function handAll() {
  for (let [drop] = unsent(); drop; [drop] = unsent()) {
    const answer = await handed(drop);
    handing.why = answer.why || "";
    if (answer.why) return;
    const { name, text, what, kind, slug, raw } = drop;
    const again = text.length < MOST_TEXT ? { text, raw } : { text: "" };
    const one = { name, what, kind, slug, at: Date.now(), ...again, ...answer };
    // Told before it is forgotten: a page that is closed in between hands it in once more, and it counts once.
    tell((all) => [one, ...all]);
    forget(drop);
    if (one.taken) follow(one);
    showHanding();
  }
}

// Refused for good is what is the same the next time; everything else is tried again.
async function handed({ name, text }) {
  try {
    const how = { method: "POST", headers: { "X-Drop-Name": name }, cache: "no-store", signal: AbortSignal.timeout?.(LONGEST_ANSWER) };
    const answer = await fetch("/drop", { ...how, body: text });
    if (answer.status === 201) {
      const { taken, after } = await answer.json();
      return { taken, after };
    }
    if (answer.status === 401) return { why: "this device is not let in any more: ask the owner for a code" };
    const words = await answer.text();
    return answer.status === 400 || answer.status === 413 ? { refused: words } : { why: words || "not now" };
  } catch {
    return { why: "no network" };
  }
}

// What became of it: the shop takes a paper in once it lies still, which is some seconds, or longer where it waits for another.
async function follow(one) {
  if (one.became) return hear(one);
  for (let tries = 0; told().some((other) => sameOne(one)(other) && !other.became); tries += 1) {
    await new Promise((done) => { setTimeout(done, Math.min(1000 + tries * 500, LONGEST_PAUSE)); });
    try {
      const answer = await fetch(`/became/${one.after}/${one.taken}`, { cache: "no-store" });
      const { became, slip } = await answer.json();
      if (became === "waits") continue;
      amend(one, slip ? { became, slip } : { became, text: "", raw: undefined });
      if (!slip) await hear(one);
    } catch { /* asked again when the network is back */ }
  }
}

// What the shop made of it lies beside the form, written some seconds after it was filed.
async function hear(one) {
  for (let tries = 0; one.kind && one.slug !== "check-in" && tries < MOST_HEARINGS; tries += 1) {
    try {
      const answer = await fetch(`/forms/${one.slug}.json`, { cache: "no-store" });
      const heard = answer.ok && (await answer.json())[one.taken];
      if (heard) return amend(one, { heard });
    } catch { /* asked again */ }
    await new Promise((done) => { setTimeout(done, 1000 + tries * 500); });
  }
}

// Order is told by clocks: one that is wrong is said while it can be put right.
async function compareClocks() {
  try {
    const answer = await fetch("/welcome", { method: "HEAD", cache: "no-store" });
    const apart = Date.now() - Date.parse(answer.headers.get("Date"));
    if (!(Math.abs(apart) > CLOCKS_APART)) return;
    const minutes = Math.round(Math.abs(apart) / 60000);
    byId("clocks").textContent = `This device's clock is ${minutes} min ${apart > 0 ? "ahead of" : "behind"} the shop's. Put it right before you go on.`;
  } catch { /* compared the next time the page opens */ }
}

const clockOf = (at) => parts(new Date(at)).time.slice(0, 2).join(":");

function wordsOf({ at, became, refused }) {
  if (refused) return `not taken: ${refused}`;
  const end = { filed: "filed", copy: "filed before: counted once", returned: "RETURNED: it counts for nothing until it is right" }[became];
  return end ? `taken at ${clockOf(at)}, ${end}` : `taken at ${clockOf(at)}, waits to be filed`;
}

// Into the fields again, on the form it came from, unless something is half typed there. Pictures are taken again.
function fillAgain(one, button) {
  const form = document.querySelector(`form[data-kind="${one.kind}"]`);
  if (isTyped(form)) {
    say(button.parentElement, "something is typed in that section: hand it in or empty it first");
    return;
  }
  form.reset();
  begin(form);
  shelf.put(`pictures/${one.kind}`, null);
  putDraft(form, one.raw);
  holdAgain(form);
  keep(form);
  show(bodyOf(form).querySelector("input, select, textarea").closest("[data-key]"));
}

function toldLine(one) {
  const line = element("li", `${one.what || one.name}: ${wordsOf(one)}`);
  const heard = element("ul", "");
  heard.append(...(one.heard || []).map((words) => element("li", words, { className: "out" })));
  line.append(heard);
  if (!one.slip && !one.refused) return line;
  if (one.slip) {
    const slip = element("pre", one.slip);
    slip.style.whiteSpace = "pre-wrap";
    line.append(slip);
  }
  const buttons = element("p", "", { className: "buttons" });
  if (one.text) {
    const area = element("textarea", one.text, { rows: 4, readOnly: true, ariaLabel: one.name });
    line.append(area);
    buttons.append(element("button", "Copy as text", { type: "button", onclick: () => copy(area) }));
  }
  if (one.raw?.fields && one.slug === bench.dataset.slug) {
    buttons.append(element("button", "Fill in again", { type: "button", onclick: ({ target }) => fillAgain(one, target) }));
  }
  const away = () => tell((all) => all.filter((other) => !sameOne(one)(other)));
  buttons.append(element("button", "Put away", { type: "button", onclick: away }));
  line.append(buttons);
  return line;
}

function showHanding() {
  const box = byId("handing");
  const [waits, done] = [unsent(), told()];
  box.hidden = waits.length === 0 && done.length === 0;
  const lines = element("ul", "");
  lines.append(...done.map(toldLine));
  const held = handing.loose.length > 0 ? " This device cannot keep them: leave this page open." : "";
  const why = handing.why && `: ${handing.why}`;
  const back = done.filter((one) => one.slip || one.refused).length;
  const said = done.filter((one) => (one.heard || []).length > 0).length;
  const words = [
    waits.length > 0 ? `${waits.length} not handed in yet${why}. It is tried again by itself.${held}` : "Everything is handed in.",
    back > 0 && `${back} RETURNED.`,
    said > 0 && `${said} with a word from the shop.`,
  ].filter(Boolean).join(" ");
  byId("state").hidden = box.hidden;
  byId("state").replaceChildren(...(box.hidden ? [] : [element("a", words, { href: "#handing" })]));
  box.replaceChildren(lines);
}

if (handsIn) {
  byId("by-file").hidden = true;
  byId("by-wire").hidden = false;
  document.querySelectorAll('[data-finish="save"]').forEach((button) => { button.textContent = "Hand in"; });
  addEventListener("online", () => { handing.pause = 2000; handOn(); });
  addEventListener("storage", showHanding);
  addEventListener("beforeunload", (event) => { if (handing.loose.length > 0) event.preventDefault(); });
  handOn();
  told().filter((one) => one.taken && (!one.became || (one.became !== "returned" && one.kind && !one.heard))).forEach(follow);
  compareClocks();
}
