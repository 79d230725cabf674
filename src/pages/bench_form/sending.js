
// Handing in. A form that comes from the drop point gives its drops there itself: each is kept on this device until the
// shop says that it has it, and goes again with the same bytes after whatever went wrong, so that it counts once.

const LONGEST_PAUSE = 60000;
const MOST_TOLD = 20;
const handing = { waits: shelf.get("unsent") || [], told: [], why: "", busy: false, pause: 2000 };

// What cannot be kept over a reload (too much, or a browser that keeps nothing) is kept as long as the page is open.
function keepUnsent() {
  shelf.put("unsent", handing.waits);
  handing.kept = (shelf.get("unsent") || []).length === handing.waits.length;
}

function handIn(drop) {
  handing.waits.push(drop);
  keepUnsent();
  handing.pause = 2000;
  handOn();
}

async function handOn() {
  if (handing.busy) return;
  handing.busy = true;
  showHanding();
  while (handing.waits.length > 0) {
    const [drop] = handing.waits;
    const answer = await handed(drop);
    handing.why = answer.why;
    if (!answer.taken && !answer.refused) break;
    handing.waits.shift();
    keepUnsent();
    handing.told.unshift({ name: drop.name, text: drop.text, hash: answer.taken, words: answer.refused || "handed in" });
    handing.told.splice(MOST_TOLD);
    showHanding();
    if (answer.taken) follow(handing.told[0]);
  }
  handing.busy = false;
  showHanding();
  if (handing.waits.length === 0) return;
  setTimeout(handOn, handing.pause);
  handing.pause = Math.min(handing.pause * 2, LONGEST_PAUSE);
}

// Refused for good is what is the same the next time; everything else is tried again.
async function handed(drop) {
  try {
    const answer = await fetch("/drop", { method: "POST", headers: { "X-Drop-Name": drop.name }, body: drop.text, cache: "no-store" });
    if (answer.status === 201) return { taken: (await answer.json()).taken, why: "" };
    if (answer.status === 401) return { why: "this device is not let in any more: ask the owner for a code" };
    const words = await answer.text();
    return answer.status === 400 || answer.status === 413 ? { refused: `not taken: ${words}`, why: "" } : { why: words };
  } catch {
    return { why: "no network" };
  }
}

// What became of it: asked for a while, as the shop takes a paper in once it lies still.
async function follow(told) {
  for (let tries = 0; tries < 60; tries += 1) {
    await new Promise((done) => { setTimeout(done, Math.min(1000 + tries * 500, 10000)); });
    try {
      const { became, slip } = await (await fetch(`/became/${told.hash}`, { cache: "no-store" })).json();
      if (became === "waits") continue;
      told.words = { filed: "filed", copy: "filed before: counted once", returned: "RETURNED" }[became];
      told.slip = slip;
      showHanding();
      return;
    } catch { /* asked again when the network is back */ }
  }
}

function toldLine(told) {
  const line = element("li", `${told.name}: ${told.words}`);
  if (!told.slip) return line;
  const again = element("button", "Copy as text", { type: "button" });
  const area = element("textarea", told.text, { rows: 4, readOnly: true });
  again.onclick = () => copy(area);
  line.append(element("pre", told.slip), area, again);
  return line;
}

function showHanding() {
  const box = byId("handing");
  const { waits, told, why, kept } = handing;
  box.hidden = waits.length === 0 && told.length === 0;
  const lines = element("ul", "");
  lines.append(...told.map(toldLine));
  const held = kept === false ? " This device cannot keep them: leave this page open." : "";
  const words = waits.length > 0 ? `${waits.length} not handed in yet${why && `: ${why}`}. It is tried again by itself.${held}` : "Everything is handed in.";
  box.replaceChildren(element("strong", words), lines);
}

if (handsIn) {
  byId("by-file").hidden = true;
  byId("by-wire").hidden = false;
  document.querySelectorAll('[data-finish="save"]').forEach((button) => { button.textContent = "Hand in"; });
  addEventListener("online", () => { handing.pause = 2000; handOn(); });
  handOn();
}
