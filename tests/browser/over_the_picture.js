/* What is seen over the picture and around it: each thing's name and its visible rectangle. */
() => {
  const OVER = [
    ".triad line",
    ".triad text",
    ".scale-bar",
    ".stale-note",
    ".readout",
    ".step-pad",
    ".marker:not(.mute, .behind) .marker-caption",
    ".handle-caption",
  ];
  const AROUND = [
    ".view-bar > *",
    ".seen",
    ".pick-hint",
    ".picture-tools",
    ".layer-controls > .field",
    ".layer-controls summary",
    ".layer-controls fieldset label",
    ".legend > *",
    ".against",
    ".section-panel > *",
  ];
  const part = (selector, over) =>
    [...document.querySelectorAll(`.limb-view :is(${selector})`)]
      .filter((one) => one.checkVisibility({ visibilityProperty: true }))
      .map((one) => ({
        name: `${selector} "${(one.textContent ?? "").trim().slice(0, 30)}"`,
        over,
        whole: rectangle(one),
        seen: visible(one),
      }))
      .filter(({ seen }) => seen.right - seen.left > 0.5 && seen.bottom - seen.top > 0.5);
  return [
    ...OVER.flatMap((selector) => part(selector, true)),
    ...AROUND.flatMap((selector) => part(selector, false)),
  ];

  function rectangle(element) {
    const { left, top, right, bottom } = element.getBoundingClientRect();
    return { left, top, right, bottom };
  }

  /* What its ancestors let be seen of it. */
  function visible(element) {
    const seen = rectangle(element);
    for (let at = element.parentElement; at !== null; at = at.parentElement) {
      if (getComputedStyle(at).overflowX !== "visible" && at !== document.documentElement) {
        const frame = at.getBoundingClientRect();
        seen.left = Math.max(seen.left, frame.left);
        seen.right = Math.min(seen.right, frame.right);
        seen.top = Math.max(seen.top, frame.top);
        seen.bottom = Math.min(seen.bottom, frame.bottom);
      }
    }
    return seen;
  }
}
