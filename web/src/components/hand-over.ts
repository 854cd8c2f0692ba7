/** The key travels in a header, so the file is fetched first and then handed to the browser. */
export function handOver(blob: Blob, name: string): void {
  const address = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // Some browsers read the address after the click; it may go once they had the time.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
