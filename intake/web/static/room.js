// The room under the pointer: where on a piece of wall something is to stand, moving an opening along its wall, and a
// fixed thing to any wall.
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

  // A chosen fixed thing goes to the place on a wall that is nearest to where it is let go.
  const thing = plan.querySelector(".thing.chosen"), places = document.querySelector("#places");
  function nearest(at) {
    const all = [...plan.querySelectorAll(".piece")].map((piece) => {
      const [x1, y1, x2, y2] = ends(piece), long = Math.hypot(x2 - x1, y2 - y1) || 1, to = along(piece, at);
      const x = x1 + (to * (x2 - x1)) / long, y = y1 + (to * (y2 - y1)) / long;
      return { wall: piece.dataset.wall, middle: Number(piece.dataset.start) + to, off: Math.hypot(at.x - x, at.y - y) };
    });
    return all.reduce((best, each) => (each.off < best.off ? each : best));
  }
  if (thing && places) dragged(thing, (from, to) => {
    thing.setAttribute("transform", `translate(${to.x - from.x} ${to.y - from.y})`);
    const { wall, middle } = nearest(to);
    places.elements.wall.value = wall;
    places.elements.middle.value = Math.round(middle / 10);
  }, (from, to) => {
    if (Math.hypot(to.x - from.x, to.y - from.y) > 20) places.requestSubmit();
  });

  // Follows a pointer from where it takes hold of something to where it lets go, as points of the plan.
  function dragged(what, moving, done) {
    let from = null, moved = false;
    what.addEventListener("dragstart", (event) => event.preventDefault());
    what.addEventListener("pointerdown", (event) => {
      from = point(event);
      moved = false;
      what.setPointerCapture(event.pointerId);
    });
    what.addEventListener("pointermove", (event) => {
      if (!from) return;
      moved = true;
      moving(from, point(event));
    });
    what.addEventListener("pointerup", (event) => {
      if (from && moved) done(from, point(event));
      from = null;
    });
    what.addEventListener("pointercancel", () => { from = null; what.removeAttribute("transform"); });
    what.addEventListener("click", (event) => { if (moved) event.preventDefault(); });
  }

  // The chosen opening is moved by dragging it.
  const chosen = plan.querySelector(".piece.chosen[data-movable]"), form = document.querySelector("#moves");
  if (!chosen || !form) return;
  const by = (from, to) => {
    const [x1, y1, x2, y2] = ends(chosen), long = Math.hypot(x2 - x1, y2 - y1) || 1;
    const cm = Math.round((((to.x - from.x) * (x2 - x1) + (to.y - from.y) * (y2 - y1)) / long) / 10);
    return { cm, x: (cm * 10 * (x2 - x1)) / long, y: (cm * 10 * (y2 - y1)) / long };
  };
  dragged(chosen, (from, to) => {
    const step = by(from, to);
    chosen.setAttribute("transform", `translate(${step.x} ${step.y})`);
    form.elements.by.value = step.cm;
  }, (from, to) => { if (by(from, to).cm) form.requestSubmit(); });
})();
