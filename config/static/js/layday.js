"use strict";
/* The lay day's clock: what is left of the working time, second by second.
   <p class="big-clock" data-clock-until="ISO" data-clock-minutes="27">11:20</p> and, if wanted,
   <progress data-clock-bar> beside it. Without a script the page shows what the server reckoned.
   The server's own present (data-clock-now) sets the clock, since a phone's may be wrong. */
(() => {
  const two = (figure) => String(figure).padStart(2, "0");

  const written = (seconds) => {
    const size = Math.abs(seconds);
    const text = `${Math.floor(size / 60)}:${two(size % 60)}`;
    return seconds < 0 ? `\u2212${text}` : text;
  };

  const start = () => {
    const spot = document.querySelector("[data-clock-until]");
    if (!spot) return;
    const until = Date.parse(spot.dataset.clockUntil);
    const served = Date.parse(spot.dataset.clockNow || "");
    const shift = Number.isNaN(served) ? 0 : served - Date.now();
    const whole = Number(spot.dataset.clockMinutes || 0) * 60;
    const bar = document.querySelector("[data-clock-bar]");
    if (Number.isNaN(until)) return;
    const tick = () => {
      const left = Math.floor((until - (Date.now() + shift)) / 1000);
      spot.textContent = written(left);
      spot.classList.toggle("over", left < 0);
      if (bar && whole) {
        bar.max = whole;
        bar.value = Math.min(whole, Math.max(0, whole - left));
      }
    };
    tick();
    setInterval(tick, 1000);
  };

  document.addEventListener("DOMContentLoaded", start);
})();
