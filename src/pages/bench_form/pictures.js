
// Pictures: reduced to what a page needs, so that a drop stays small; the bytes that come out are the ones that are kept.

const LONGEST_SIDE = 1600;
const MOST_OF_ONE = 240 * 1024;
const MOST_OF_ALL = 900 * 1024;

async function reduced(file) {
  const image = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST_SIDE / Math.max(image.width, image.height));
  const [width, height] = [image.width, image.height].map((side) => Math.max(1, Math.round(side * scale)));
  const canvas = element("canvas", "", { width, height });
  canvas.getContext("2d").drawImage(image, 0, 0, width, height);
  const tries = [0.85, 0.7, 0.5, 0.3].map((quality) => canvas.toDataURL("image/jpeg", quality).split(",")[1]);
  return tries.find((data) => data.length <= MOST_OF_ONE) || tries[tries.length - 1];
}

function pictureName(slot, file) {
  const plainName = file.name.replace(/\.[^.]*$/, "").replace(/[^A-Za-z0-9-]+/g, "-").slice(0, 60);
  const stem = `${bench.dataset.slug}-${plainName || "picture"}`;
  const taken = (name) => slot.kept.some((one) => one.name === name);
  for (let number = 1; ; number += 1) {
    const name = number === 1 ? `${stem}.jpg` : `${stem}-${number}.jpg`;
    if (!taken(name)) return name;
  }
}

// A picture shows one of the findings that are written: the last, until another is chosen.
const findingsOf = (form) => {
  const list = form.querySelector('[data-key="findings"][data-shape="list"]');
  return list ? itemsOf(list) : [];
};
const findingWords = (item) => ["part", "place", "defect"].map((key) => slotNamed(item, key)).filter(Boolean).map(typed);

function offerFindings(form, added) {
  const select = form.querySelector('[data-shape="embedded"] select');
  if (!select) return;
  const findings = findingsOf(form);
  const chosen = added || !select.value ? findings.length - 1 : Math.min(select.selectedIndex, findings.length - 1);
  select.replaceChildren(...findings.map((item, index) => {
    const words = findingWords(item).filter((word) => word !== "").join(", ");
    return element("option", `${index + 1}${words && `: ${words}`}`, { value: String(index) });
  }));
  select.selectedIndex = chosen;
}

function nameInFinding(slot, name) {
  const finding = findingsOf(slot.closest("form"))[slot.querySelector("select").selectedIndex];
  const lines = finding && slotNamed(finding, "pictures");
  if (lines) inputOf(lines).value = `${typed(lines)}\n${name}`.trim();
}

async function embed(slot, input) {
  slot.kept ||= [];
  for (const file of input.files) {
    let data;
    try { data = await reduced(file); } catch { say(slot, `${file.name} is no picture that this browser can read`); continue; }
    const all = slot.kept.reduce((sum, one) => sum + one.data.length, data.length);
    if (all > MOST_OF_ALL) { say(slot, `${file.name}: too much for one drop; save these first`); break; }
    const name = pictureName(slot, file);
    hold(slot, { name, data });
    nameInFinding(slot, name);
  }
  input.value = "";
  const form = slot.closest("form");
  shelf.put(`pictures/${form.dataset.kind}`, slot.kept);
  keep(form);
}

function hold(slot, picture) {
  slot.kept.push(picture);
  slot.querySelector("ul").append(element("li", `${picture.name}, ${Math.ceil(picture.data.length * 0.75 / 1024)} KiB`));
}

// What was taken before the page was opened again; what could not be kept is said, since its name is still in the finding.
function holdAgain(form) {
  const slot = form.querySelector('[data-shape="embedded"]');
  if (!slot) return;
  (shelf.get(`pictures/${form.dataset.kind}`) || []).forEach((picture) => hold(slot, picture));
  const held = new Set(slot.kept.map((one) => one.name));
  const named = findingsOf(form).flatMap((item) => read(slotNamed(item, "pictures")) || []);
  const gone = named.filter((name) => name.startsWith(`${bench.dataset.slug}-`) && !held.has(name));
  if (gone.length > 0) say(slot, `not kept on this device, take them again or take their names out: ${gone.join(", ")}`);
}
