// Before the terminal starts: which desk this page shows, how large its letters are. After: the keys by touch.
"use strict";

function tab() {
  let name = sessionStorage.getItem("tab");
  if (!name) {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    name = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    sessionStorage.setItem("tab", name);
  }
  return name;
}

function letters() {
  const size = Number(localStorage.getItem("letters")) || 16;
  return Math.min(Math.max(size, 8), 48);
}

function press(button) {
  const area = document.querySelector(".xterm-helper-textarea");
  const code = Number(button.dataset.code);
  area.dispatchEvent(new KeyboardEvent("keydown", {
    key: button.dataset.key, keyCode: code, which: code, ctrlKey: Boolean(button.dataset.ctrl),
    bubbles: true, cancelable: true,
  }));
}

document.addEventListener("DOMContentLoaded", () => {
  const terminal = document.getElementById("terminal");
  terminal.dataset.sessionWebsocketUrl = `ws://${location.host}/desk/${tab()}`;
  terminal.dataset.fontSize = String(letters());
  for (const button of document.querySelectorAll("#keys button")) {
    // The terminal keeps the focus, and with it the keyboard on the glass stays as it is.
    button.addEventListener("pointerdown", (event) => event.preventDefault());
    button.addEventListener("click", () => {
      if (button.dataset.size) {
        localStorage.setItem("letters", String(letters() + Number(button.dataset.size)));
        location.reload();
      } else {
        press(button);
      }
    });
  }
  document.getElementById("again").addEventListener("click", () => location.reload());
});

// The terminal is put up by the other script's load handler, which runs after this one.
window.addEventListener("load", () => setTimeout(() => {
  const area = document.querySelector(".xterm-helper-textarea");
  if (!area) return;
  area.setAttribute("autocapitalize", "off");
  if (!matchMedia("(pointer: coarse)").matches) area.focus();
}, 0));

// A tablet that slept comes back to a broken line.
document.addEventListener("visibilitychange", () => {
  if (!document.hidden && document.body.classList.contains("-closed")) location.reload();
});
