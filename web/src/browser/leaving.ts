/** What is typed counts once its field is left; leaving the page leaves the field too. */
export function leaveFieldWithPage(): void {
  addEventListener("pagehide", () => {
    if (document.activeElement instanceof HTMLElement) {
      document.activeElement.blur();
    }
  });
}
