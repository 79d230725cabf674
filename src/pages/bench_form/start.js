
// The page begins: who is typing, what was kept, and what the address means.

function remember(input) {
  // Asked once on a device, whichever form is opened.
  const key = ["benchdrop", bench.dataset.site, input.id].join("/");
  const known = stored(key);
  if (known) input.value = known;
  input.addEventListener("input", () => store(key, input.value.trim()));
}

const showClock = () => { byId("clock").textContent = recorded(new Date()).replace("T", " ").replace(/\.[0-9]+/, " "); };

["who", "device"].map(byId).forEach(remember);
document.querySelectorAll("form").forEach(start);
showSaved();
showClock();
setInterval(showClock, 1000);
byId("dead").hidden = true;
bench.hidden = false;

const meant = byId(location.hash.slice(1));
if (meant?.matches("details")) {
  meant.open = true;
  meant.scrollIntoView();
}
