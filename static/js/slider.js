// Keeps a slider and the number beside it in step.
//
//   <input type="range" data-slider-for="f-slot">  <input type="number" id="f-slot" name="slot">
//
// Only the number is sent. Moving the slider sets the number before the event
// reaches the form, so a form that asks at input (macros/forms.html, asks) answers while it moves.

function sliderOf(number) {
  return number.id ? document.querySelector(`[data-slider-for="${CSS.escape(number.id)}"]`) : null;
}

function follow(event) {
  const moved = event.target;
  if (!(moved instanceof HTMLInputElement)) return;
  if (moved.dataset.sliderFor) {
    const number = document.getElementById(moved.dataset.sliderFor);
    if (number) number.value = moved.value;
  } else if (moved.type === "number") {
    const slider = sliderOf(moved);
    if (slider && moved.value !== "") slider.value = moved.value;
  }
}

// A number may come back from the browser's memory, after Back or a reload.
function settle() {
  for (const slider of document.querySelectorAll("[data-slider-for]")) {
    const number = document.getElementById(slider.dataset.sliderFor);
    if (number && number.value !== "") slider.value = number.value;
  }
}

document.addEventListener("input", follow, true);
document.addEventListener("kept:restored", settle);
window.addEventListener("pageshow", settle);
