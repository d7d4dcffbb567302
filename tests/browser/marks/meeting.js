// Every mark of a change (triangle, old value) that meets a text, in some regions of a page.
(regions) => {
  const meet = (a, b) =>
    Math.min(a.right, b.right) - Math.max(a.left, b.left) > 0.25 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 0.25;
  const box = (left, top, width, height) => ({ left, top, right: left + width, bottom: top + height });

  const unseen = (at) => at !== null && (getComputedStyle(at).clipPath === "inset(50%)" || unseen(at.parentElement));

  // What the eye sees of a row: 0.75 of the size above its baseline and 0.25 below, of a face
  // whose box reaches from 0.95 to 0.31.
  const textsOf = (root) => {
    const found = [];
    const words = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    while (words.nextNode()) {
      const at = words.currentNode.parentElement;
      if (!words.currentNode.data.trim() || at.closest("title, desc") || !at.checkVisibility() || unseen(at)) continue;
      const range = document.createRange();
      range.selectNodeContents(words.currentNode);
      for (const { left, top, width, height } of range.getClientRects()) {
        const row = box(left, top + (height * 0.2) / 1.26, width, height / 1.26);
        found.push({ at, name: words.currentNode.data.trim(), row });
      }
    }
    return found;
  };

  // A pseudo-element's place, by its style: it has no box that a script could ask for.
  const triangleOf = (figure) => {
    const style = getComputedStyle(figure, "::before");
    const [width, height] = [style.width, style.height].map(Number.parseFloat);
    if (style.position === "absolute") {
      const around = figure.getBoundingClientRect();
      return box(around.left + Number.parseFloat(style.left), around.top + Number.parseFloat(style.top), width, height);
    }
    const value = figure.querySelector(".figure-value").getBoundingClientRect();
    const middle = (value.top + value.bottom - height) / 2;
    const first = (figure.querySelector(".figure-was") ?? figure.querySelector(".figure-value")).getBoundingClientRect();
    const after = getComputedStyle(figure).display === "contents"; // in the row of its value, after it
    const gap = Number.parseFloat(getComputedStyle(figure.parentElement).columnGap);
    const left = after ? value.right + gap : first.left - Number.parseFloat(style.marginRight) - width;
    return box(left, middle, width, height);
  };

  const found = [];
  let marks = 0;
  for (const region of regions) {
    const root = document.querySelector(region);
    const texts = textsOf(root);
    const seen = (figure) => figure.firstElementChild.checkVisibility();
    const triangles = [
      ...[...root.querySelectorAll(".is-changed")].filter(seen).map((each) => [each, triangleOf(each)]),
      ...[...root.querySelectorAll(".changed .revision")]
        .filter((each) => each.checkVisibility({ visibilityProperty: true }))
        .map((each) => [each.parentElement, each.getBoundingClientRect()]),
    ];
    marks += triangles.length;
    for (const [figure, place] of triangles) {
      const name = `${region}: triangle of ${figure.dataset.figure}`;
      if (!(place.right > place.left && place.bottom > place.top)) found.push(`${name} is nowhere`);
      if (place.right > innerWidth && !figure.closest(".scroll")) found.push(`${name} leaves the window`);
      for (const { name: words, row } of texts) if (meet(place, row)) found.push(`${name} meets “${words}”`);
      for (const [other, there] of triangles) if (other !== figure && meet(place, there)) found.push(`${name} meets another`);
    }
    for (const { at, name, row } of texts.filter(({ at: each }) => each.matches(".figure-was"))) {
      marks += 1;
      for (const other of texts)
        if (other.at !== at && meet(row, other.row))
          found.push(`${region}: old value ${name} of ${at.parentElement.dataset.figure} meets “${other.name}”`);
    }
  }
  return { found, marks };
}
