// What the terminal in textual.js needs to know before it starts: where its session is, how large its type.
// The address ends in /TOKEN/; ?fontsize=24 asks for larger type.
const open = window.onload;

window.onload = async (event) => {
  const terminal = document.querySelector(".textual-terminal");
  const session = new URL("ws", location.href);
  session.protocol = "ws:";
  session.search = "";
  const size = Number(new URLSearchParams(location.search).get("fontsize"));
  terminal.dataset.sessionWebsocketUrl = session.href;
  terminal.dataset.fontSize = size >= 6 && size <= 72 ? size : 16;
  document.querySelector("button").onclick = () => location.reload();
  // A cell is measured once, so the font must be there first.
  await Promise.allSettled(["16px", "bold 16px", "italic 16px"].map((face) => document.fonts.load(`${face} "Roboto Mono"`)));
  open(event);
};

// The terminal in textual.js says "-loaded" once its session can take keys.
const takeKeys = () => {
  if (document.body.classList.contains("-loaded")) document.querySelector(".xterm-helper-textarea").focus();
};
window.onfocus = takeKeys;
document.addEventListener("DOMContentLoaded", () => {
  new MutationObserver(takeKeys).observe(document.body, { attributeFilter: ["class"] });
});

// Closing the page ends the session: ask, as long as there is one.
window.onbeforeunload = (event) => {
  if (!document.body.classList.contains("-closed")) event.preventDefault();
};
