// The room under the pointer: where on a piece of wall something is to stand, and moving an opening along its wall.
// Everything here also works by the forms, without a script.
"use strict";
(() => {
  const plan = document.getElementById("room");
  if (!plan) return;
  const point = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(plan.getScreenCTM().inverse());
  const ends = (piece) => ["x1", "y1", "x2", "y2"].map((name) => Number(piece.querySelector(".shown").getAttribute(name)));

  // How far along a piece of wall, in millimetres from its left end.
  function along(piece, at) {
    const [x1, y1, x2, y2] = ends(piece), long = Math.hypot(x2 - x1, y2 - y1) || 1;
    return Math.min(Math.max(((at.x - x1) * (x2 - x1) + (at.y - y1) * (y2 - y1)) / long, 0), long);
  }

  // Where a plain piece of wall was clicked goes along, rounded to a centimetre.
  plan.addEventListener("click", (event) => {
    const piece = event.target.closest(".piece.wall");
    if (!piece || event.ctrlKey || event.metaKey || !event.clientX) return;
    event.preventDefault();
    location.href = `${plan.dataset.here}?at=${piece.dataset.name}&from=${Math.round(along(piece, point(event)) / 10)}#chosen`;
  });

  // The chosen opening is moved by dragging it.
  const chosen = plan.querySelector(".piece.chosen[data-movable]"), form = document.querySelector("#moves");
  if (!chosen || !form) return;
  let from = null;
  const moved = (event) => {
    const [x1, y1, x2, y2] = ends(chosen), long = Math.hypot(x2 - x1, y2 - y1) || 1, at = point(event);
    const by = Math.round((((at.x - from.x) * (x2 - x1) + (at.y - from.y) * (y2 - y1)) / long) / 10);
    return { by, x: (by * 10 * (x2 - x1)) / long, y: (by * 10 * (y2 - y1)) / long };
  };
  chosen.addEventListener("dragstart", (event) => event.preventDefault());
  chosen.addEventListener("pointerdown", (event) => {
    from = point(event);
    chosen.setPointerCapture(event.pointerId);
  });
  chosen.addEventListener("pointermove", (event) => {
    if (!from) return;
    const to = moved(event);
    chosen.setAttribute("transform", `translate(${to.x} ${to.y})`);
    form.elements.by.value = to.by;
  });
  chosen.addEventListener("pointerup", (event) => {
    if (!from) return;
    const { by } = moved(event);
    from = null;
    if (by) form.requestSubmit();
  });
  chosen.addEventListener("pointercancel", () => { from = null; chosen.removeAttribute("transform"); });
  chosen.addEventListener("click", (event) => { if (form.elements.by.value) event.preventDefault(); });
})();
