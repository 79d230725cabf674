
// The keypad: large keys at the foot of the page for whoever types digits with one oily hand. It comes by itself where there
// is no mouse, and by a button elsewhere; the device's own keyboard stays away while it is there. What a key does is what
// typing does: the same checks, and not a digit altered.

const KEYS = ["7", "8", "9", "del", "4", "5", "6", "+-", "1", "2", "3", ".", "0", "close", "next"];
const KEY_WORDS = { del: "take back one digit", "+-": "other sign", ".": "point", close: "put the keypad away", next: "next place" };
const DIGITS = 'td input, [data-shape="digits"] input, [data-shape="integer"] input';
const keypad = { box: element("div", "", { className: "keypad", hidden: true }), field: null, typed: false };

const keypadOn = () => shelf.get("keypad") ?? matchMedia("(pointer: coarse)").matches;

// Two blades stand in one place, and the key of the sign parts them.
function holdsBlades(field) {
  const grid = field.closest('[data-shape="grid"]');
  return Boolean(grid) && entryOf(grid) === "blades";
}

// Down a bore at each direction, and round a shaft plane by plane, as a hand goes.
function walk(table) {
  const rows = [...table.tBodies[0].rows].map((row) => [...row.querySelectorAll("td input")]);
  if (!table.dataset.down) return rows.flat();
  return (rows[0] || []).flatMap((_, column) => rows.map((row) => row[column]).filter(Boolean));
}

function nextField(field) {
  const table = field.closest("table.places");
  const tables = table ? [...table.closest("details").querySelectorAll("table.places")] : [];
  const way = table ? tables.flatMap(walk) : [...field.closest("form").querySelectorAll(DIGITS)];
  const after = way.slice(way.indexOf(field) + 1).filter((one) => one.offsetParent);
  // Past what nobody asks for, unless that is all there is.
  const isAsked = (one) => !one.closest("td.aside");
  return after.find((one) => one.value === "" && isAsked(one)) || after.find(isAsked) || after[0];
}

// A value that was changed by keys is a change to whoever listens, once the field is left.
function leave() {
  if (keypad.field && keypad.typed) keypad.field.dispatchEvent(new Event("change", { bubbles: true }));
  keypad.typed = false;
}

function pressed(key) {
  const { field } = keypad;
  if (!field) return;
  if (key === "next" || key === "close") {
    const next = key === "next" && nextField(field);
    leave();
    if (next) next.focus();
    else putAway(field);
    return;
  }
  if (key === "del") field.value = field.value.slice(0, -1);
  else if (key === "+-" && holdsBlades(field)) field.value += "-";
  else if (key === "+-") field.value = field.value.startsWith("-") ? field.value.slice(1) : `-${field.value}`;
  else field.value += key;
  keypad.typed = true;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function putAway(field) {
  field.blur();
  toField(null);
}

function toField(field) {
  leave();
  keypad.field = field;
  const on = Boolean(field) && keypadOn();
  keypad.box.hidden = !on;
  document.body.classList.toggle("with-keypad", on);
  if (!on) return;
  field.inputMode = "none";
  field.scrollIntoView({ block: "center" });
}

function showKeypadButton() {
  byId("keypad").textContent = keypadOn() ? "Without keypad" : "With keypad";
}

keypad.box.append(...KEYS.map((key) => {
  const button = element("button", { del: "\u232b", "+-": "\u00b1", close: "\u2715", next: "Next" }[key] || key, { type: "button", className: key === "next" ? "next" : "" });
  button.setAttribute("aria-label", KEY_WORDS[key] || key);
  // The field keeps the focus.
  button.onpointerdown = (event) => event.preventDefault();
  button.onclick = () => pressed(key);
  return button;
}));
bench.append(keypad.box);
bench.addEventListener("focusin", ({ target }) => {
  if (!keypad.box.contains(target)) toField(target.matches(DIGITS) ? target : null);
});
byId("keypad").onclick = () => {
  shelf.put("keypad", !keypadOn());
  document.querySelectorAll(DIGITS).forEach((input) => { input.inputMode = keypadOn() ? "none" : "decimal"; });
  showKeypadButton();
};
showKeypadButton();
