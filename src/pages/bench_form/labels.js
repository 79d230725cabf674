
// Labels of bags and parts, scanned or typed: `B 24.017 G03 S`, as DEVELOPERS.md says. What is read is taken apart to the
// label; one of another engine, or with a wrong character, is said beside the field and stays as it was typed.

// The check character of ISO/IEC 7064, MOD 37,36, over letters and digits.
function checkCharacter(text) {
  let product = 36;
  for (const letter of text.replace(/[ .]/g, "")) product = (((product + parseInt(letter, 36)) % 36 || 36) * 2) % 37;
  return ((37 - product) % 36).toString(36).toUpperCase();
}

const plainWords = (text) => text.toUpperCase().split(/[^A-Z0-9]+/).filter(Boolean).join(".");

// What a text says: nothing where it is no label of ours, else what to fill in, or why not.
function labelled(text) {
  const said = text.trim().toUpperCase().replace(/\s+/g, " ");
  const found = /^([JBP] ([A-Z0-9.]+)(?: ([A-Z0-9.]+))?) ([A-Z0-9])$/.exec(said);
  if (!found || (found[1][0] === "J") === Boolean(found[3])) return undefined;
  const [, body, job, name, check] = found;
  if (checkCharacter(body) !== check) {
    return { why: "a character of this label is wrong; a scanner must type as this device's keyboard does (Y and Z)" };
  }
  if (job !== plainWords(bench.dataset.job)) return { why: `this label is of job ${job}, not of ${bench.dataset.job}` };
  const kind = { J: "job", B: "bag", P: "part" }[body[0]];
  return (knows.labels || {})[said] || { kind, label: name || bench.dataset.job, fills: kind === "bag" ? { bag: name } : {} };
}

// A label in the field of its own fills what it is about.
function fillFrom(field, text) {
  const wanted = field.closest("form").dataset.kind === "part" ? "part" : "bag";
  const found = labelled(text);
  if (!found || found.why || found.kind !== wanted) {
    const why = !found ? "this is no label of ours" : found.why || `this label is of a ${found.kind}; here goes one of a ${wanted}`;
    return say(field, text.trim() ? why : "");
  }
  inputOf(field).value = found.label;
  const holder = field.closest("[data-holder]");
  for (const [key, value] of Object.entries(found.fills)) put(slotNamed(holder, key), value);
  keep(field.closest("form"));
  return say(field, Object.keys(found.fills).length > 0 ? "" : "this label is not known of this engine yet; choose below");
}

// A label typed where a bag's label goes is taken apart there.
function bagTyped(slot) {
  const found = labelled(inputOf(slot).value);
  if (!found) return;
  const why = found.why || (found.kind === "bag" ? "" : `this label is of a ${found.kind}, not of a bag`);
  if (!why) inputOf(slot).value = found.label;
  keep(slot.closest("form"));
  say(slot, why);
}

async function fromPicture(field, input) {
  const label = field.closest("[data-holder]").querySelector("[data-label]");
  let codes = [];
  try { codes = await new BarcodeDetector({ formats: ["qr_code"] }).detect(await createImageBitmap(input.files[0])); } catch { /* said below */ }
  input.value = "";
  say(field, codes.length === 1 ? "" : `${codes.length || "no"} codes in this picture; one is needed`);
  if (codes.length === 1) fillFrom(label, codes[0].rawValue);
}

function labelChanged({ target }) {
  const field = target.closest("[data-label], [data-label-picture]");
  const bag = target.closest('[data-key="bag"]');
  if (field && field.dataset.label) fillFrom(field, target.value);
  else if (field && target.files.length > 0) fromPicture(field, target);
  else if (bag) bagTyped(bag);
}

document.addEventListener("change", labelChanged);
if ("BarcodeDetector" in window) document.querySelectorAll("[data-label-picture]").forEach((field) => { field.hidden = false; });
