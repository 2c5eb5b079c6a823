"use strict";
/* What pages do better with a script; every one of them works without it.
   - [data-once]: a form is sent once; its button says so until the answer comes.
   - [data-until="ISO"]: how long is left, kept up to the minute.
   - #menu: the menu word opens and shuts the menu in place.
   - .summary: the list of what to put right takes the focus. */
(() => {
  const words = (minutes) => {
    const days = Math.floor(minutes / 1440);
    const hours = Math.floor((minutes % 1440) / 60);
    const left = minutes % 60;
    if (days) return `${days}\u00a0day${days === 1 ? "" : "s"}${hours ? ` ${hours}\u00a0h` : ""}`;
    if (hours) return `${hours}\u00a0h${left ? ` ${left}\u00a0min` : ""}`;
    return `${left}\u00a0min`;
  };

  const howLongLeft = (until, now) => {
    const minutes = Math.floor(Math.abs(until - now) / 60000);
    if (minutes === 0) return "now";
    return until > now ? `in ${words(minutes)}` : `${words(minutes)} ago`;
  };

  const tick = () => {
    const now = Date.now();
    document.querySelectorAll("[data-until]").forEach((spot) => {
      const until = Date.parse(spot.dataset.until);
      if (!Number.isNaN(until)) spot.textContent = howLongLeft(until, now);
    });
  };

  const release = (form) => {
    delete form.dataset.sent;
    form.querySelectorAll("button[data-word]").forEach((button) => {
      button.textContent = button.dataset.word;
      button.removeAttribute("aria-disabled");
      delete button.dataset.word;
    });
  };

  /* aria-disabled, not disabled: a disabled button would drop its name from what is sent. */
  const once = (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || !form.hasAttribute("data-once")) return;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "1";
    const button = event.submitter || form.querySelector("button[type=submit]");
    if (button) {
      button.dataset.word = button.textContent;
      button.textContent = "Sending";
      button.setAttribute("aria-disabled", "true");
    }
  };

  const menu = () => {
    const word = document.querySelector(".menu-word");
    const nav = document.getElementById("menu");
    if (!word || !nav) return;
    word.setAttribute("role", "button");
    word.setAttribute("aria-controls", "menu");
    word.setAttribute("aria-expanded", "false");
    const toggle = (event) => {
      event.preventDefault();
      const open = nav.classList.toggle("open");
      word.setAttribute("aria-expanded", String(open));
    };
    word.addEventListener("click", toggle);
    word.addEventListener("keydown", (event) => {
      if (event.key === " ") toggle(event);
    });
  };

  document.addEventListener("submit", once);
  window.addEventListener("pageshow", (event) => {
    if (event.persisted) document.querySelectorAll("form[data-sent]").forEach(release);
  });
  document.addEventListener("htmx:afterRequest", (event) => {
    const form = event.target.closest ? event.target.closest("form[data-sent]") : null;
    if (form) release(form);
  });
  document.addEventListener("DOMContentLoaded", () => {
    menu();
    tick();
    setInterval(tick, 15000);
    const summary = document.querySelector(".summary");
    if (summary) summary.focus();
  });
  document.addEventListener("htmx:afterSwap", tick);
})();
