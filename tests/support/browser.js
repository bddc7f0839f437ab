/* Measures a page: what lies on what, what is cut off, how small text is. Lengths in CSS pixels. */
() => {
  const found = { overlaps: [], cut: [], small: [], outside: [], wide: null };
  const shown = (r) => r.width > 0.5 && r.height > 0.5;
  const boxes = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode, holder = node.parentElement;
    if (!node.textContent.trim() || holder.closest("title, script, style, [hidden]")) { continue; }
    const style = getComputedStyle(holder);
    if (style.display === "none" || style.visibility === "hidden") { continue; }
    const range = document.createRange();
    range.selectNodeContents(node);
    const rects = [...range.getClientRects()].filter(shown);
    if (!rects.length) { continue; }
    const svg = holder.closest("svg");
    const scale = svg ? holder.getScreenCTM().a : 1;
    const size = parseFloat(style.fontSize) * scale;
    if (size < 7 * 96 / 72 - 0.05) { found.small.push([node.textContent.trim().slice(0, 40), size]); }
    /* A line box is taller than its letters: the middle of it counts. */
    for (const r of rects) {
      const inset = r.height * 0.22;
      boxes.push([r.left + 0.7, r.top + inset, r.right - 0.7, r.bottom - inset, node.textContent.trim().slice(0, 40), holder]);
    }
    if (svg) {
      const frame = svg.getBoundingClientRect();
      for (const r of rects) {
        if (r.left < frame.left - 0.5 || r.right > frame.right + 0.5 || r.top < frame.top - 2 || r.bottom > frame.bottom + 2) {
          found.outside.push(node.textContent.trim().slice(0, 40));
        }
      }
    }
  }
  for (let i = 0; i < boxes.length; i++) {
    for (let j = i + 1; j < boxes.length; j++) {
      const a = boxes[i], b = boxes[j];
      if (a[5] !== b[5] && a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]) { found.overlaps.push([a[4], b[4]]); }
    }
  }
  for (const cell of document.querySelectorAll("td, th, dd, dt, p, h1, h2, h3, li, .fact")) {
    if (cell.scrollWidth > cell.clientWidth + 1 && getComputedStyle(cell).display !== "inline") {
      found.cut.push([cell.textContent.trim().slice(0, 50), cell.scrollWidth, cell.clientWidth]);
    }
  }
  const page = document.documentElement;
  if (page.scrollWidth > page.clientWidth) { found.wide = [page.scrollWidth, page.clientWidth]; }
  return found;
}
