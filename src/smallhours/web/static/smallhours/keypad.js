// Large keys for a PIN, for floury hands. Without this module the tablet's own keyboard does it.
for (const form of document.querySelectorAll("form[data-keypad]")) {
  const field = form.querySelector("input[name=pin]");
  const keypad = form.querySelector(".keypad");
  keypad.hidden = false;
  form.querySelector(".without-keypad").hidden = true;
  keypad.addEventListener("click", (event) => {
    const key = event.target.closest("button[type=button]");
    if (!key) return;
    field.value = key.value === "back" ? field.value.slice(0, -1) : (field.value + key.value).slice(0, field.maxLength);
  });
}
