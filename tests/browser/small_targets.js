/* Controls in view whose target is smaller than a fingertip, in words. */
(fingertip) => {
  const least = fingertip - 0.5;
  const seen = new Set();
  const small = [];
  for (const one of document.querySelectorAll(
    "a[href], button, input, select, summary, textarea, [role=slider]",
  )) {
    // A skip link is seen once it has the focus, by keys. A label that names a box or a file is the larger target for the same thing.
    const target = one.matches("[type=checkbox], [type=radio]") ? (one.closest("label") ?? one) : one;
    if (seen.has(target) || one.matches(".unseen, .marker.behind, .skip-links > :not(:focus)") || !one.checkVisibility()) {
      continue;
    }
    seen.add(target);
    const [width, height] = extent(target);
    if (width < least || height < least) {
      const words = (target.textContent || one.ariaLabel || "").trim().slice(0, 40);
      small.push(`${one.tagName} "${words}" ${width.toFixed(0)} x ${height.toFixed(0)}`);
    }
  }
  return small;

  /* What a finger finds: the box, or where that says too little, what lies around its middle. */
  function extent(target) {
    const { left, top, width, height } = (target.closest(".entry") ?? target).getBoundingClientRect();
    if (!target.matches(".marker, [role=slider]:not(input)")) {
      return [width, height];
    }
    target.scrollIntoView({ block: "nearest" });
    const around = (target.querySelector(".marker-dot") ?? target).getBoundingClientRect();
    const [x, y] = [around.left + around.width / 2, around.top + around.height / 2];
    const finds = (dx, dy) => {
      const found = document.elementFromPoint(x + dx, y + dy);
      // A neighbour's target may overlap: then the nearer one is meant.
      return found !== null && (target.contains(found) || found.closest(".marker") !== null);
    };
    const reach = fingertip / 2 - 1;
    const hidden = !finds(0, 0);
    return hidden || (finds(reach, 0) && finds(-reach, 0)) ? [fingertip, Math.max(height, reachOver())] : [around.width, around.height];

    function reachOver() {
      return hidden || (finds(0, reach) && finds(0, -reach)) ? fingertip : 0;
    }
  }
}
