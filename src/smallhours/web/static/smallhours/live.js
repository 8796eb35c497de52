// Forms that answer while somebody types, and sliders: what stands beside the fields is asked for anew.
// One question at a time; what was typed meanwhile is asked next, so answers never overtake each other.
(() => {
  "use strict";

  const asker = (ask, show) => {
    let busy = false, waiting = null, shown = null;
    const go = async (what) => {
      if (busy) { waiting = what; return; }
      busy = true;
      try {
        const answer = await ask(what);
        if (answer.ok && !waiting) { shown = await answer.json(); show(shown, what); }
      } catch (_) { /* the server is away: what was typed stays, the next key asks again */ }
      busy = false;
      if (waiting) { const next = waiting; waiting = null; go(next); }
    };
    return go;
  };

  const put = (answer) => {
    for (const [id, text] of Object.entries(answer.texts || {})) {
      const cell = document.getElementById(id);
      if (cell && cell.textContent !== text) cell.textContent = text;
    }
    for (const [id, html] of Object.entries(answer.html || {})) {
      const place = document.getElementById(id);
      if (place && place.dataset.shown !== html) { place.innerHTML = html; place.dataset.shown = html; }
    }
  };

  const fault = (id, sentence, english) => {
    const field = document.getElementById(id), beside = document.getElementById(`${id}-fault`);
    if (!beside) return;
    if (beside.textContent !== sentence) beside.textContent = sentence;
    beside.hidden = !sentence;
    if (english) beside.lang = "en"; else beside.removeAttribute("lang");
    if (!field) return;
    if (sentence) field.setAttribute("aria-invalid", "true"); else field.removeAttribute("aria-invalid");
    if (sentence) for (let up = field.closest("details"); up; up = up.parentElement.closest("details")) up.open = true;
  };

  const faults = (form, answer) => {
    const said = answer.faults || {}, english = new Set(answer.english || []);
    for (const beside of form.querySelectorAll(".fault[id]")) {
      const id = beside.id.slice(0, -"-fault".length);
      if (beside.classList.contains("whole")) continue;
      const field = document.getElementById(id), row = field && field.closest("tr");
      const begun = row && !field.value && row.contains(document.activeElement);  // she is not there yet
      fault(id, begun ? "" : said[id] || "", english.has(id));
    }
    const whole = form.querySelector(".fault.whole");
    if (!whole) return;
    const names = Object.keys(said);
    whole.hidden = !names.length;
    whole.textContent = said[""] || (names.length ? whole.dataset.some : "");
  };

  for (const form of document.querySelectorAll("form[data-live]")) {
    let timer = 0, dirty = false;
    const ask = asker(
      (body) => fetch(form.dataset.live, { method: "POST", body }),
      (answer) => { put(answer); faults(form, answer); },
    );
    form.addEventListener("input", (event) => {
      dirty = true;
      if (event.target.name === "reason") return;
      clearTimeout(timer);
      timer = setTimeout(() => ask(new URLSearchParams(new FormData(form))), 40);
    });
    form.addEventListener("change", (event) => {
      if (!/^s\d+-kind$/.test(event.target.name)) return;  // a bake has other fields than a rest
      const focus = document.createElement("input");
      Object.assign(focus, { type: "hidden", name: "focus", value: event.target.id });
      form.append(focus);
      form.requestSubmit();
    });
    form.addEventListener("submit", () => { dirty = false; });
    window.addEventListener("beforeunload", (event) => { if (dirty) event.preventDefault(); });
    const focus = form.dataset.focus && document.getElementById(form.dataset.focus);
    const wrong = form.querySelector("[aria-invalid]");
    if (focus) focus.focus(); else if (wrong) wrong.focus();
  }

  for (const form of document.querySelectorAll("form[data-slide]")) {
    let rest = 0;
    const ask = asker(
      (query) => fetch(`${form.dataset.slide}?${query}`),
      (answer) => { put(answer); faults(form, answer); },
    );
    const now = (quick) => {
      const query = new URLSearchParams(new FormData(form));
      history.replaceState(null, "", `?${query}`);
      if (quick) query.set("quick", "1");
      return query.toString();
    };
    const moved = () => {
      ask(now(true));
      clearTimeout(rest);
      rest = setTimeout(() => ask(now(false)), 350);
    };
    for (const slider of form.querySelectorAll("input[type=range]")) {
      const number = document.getElementById(slider.dataset.for);
      const comma = document.documentElement.lang === "es";
      slider.hidden = false;
      slider.addEventListener("input", () => {
        number.value = comma ? slider.value.replace(".", ",") : slider.value;
        moved();
      });
      number.addEventListener("input", () => {
        const value = parseFloat(number.value.replace(",", "."));
        if (Number.isFinite(value)) slider.value = value;
        moved();
      });
    }
  }
})();
