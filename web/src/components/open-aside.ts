/**
 * Shows a file in a tab of its own. The key travels in a header, so the tab opens at the touch,
 * which browsers allow, and is sent to the file once it is here. Its address names nobody.
 */
export async function openAside(fetched: Promise<Blob>): Promise<void> {
  const tab = window.open("", "_blank");
  try {
    const blob = await fetched;
    if (tab === null) {
      throw new Error("The browser let no tab open; allow it for this page, or download the file.");
    }
    // The address goes with this page: the tab may be reloaded as long as the workshop is open.
    tab.location.replace(URL.createObjectURL(blob));
  } catch (error) {
    tab?.close();
    throw error;
  }
}
