import type { Sheet } from "./sheet.ts";

const page = new CSSStyleSheet();

/** Sets out the sheet that is shown in mm, so that a print has its true size. */
export function preparePrint(host: HTMLElement, sheet: Sheet, words: string): void {
  const { width, height, margin, lineWidth } = sheet.page;
  const w = width + 2 * margin;
  const h = height + 2 * margin;
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("width", `${w}mm`);
  svg.setAttribute("height", `${h}mm`);
  svg.setAttribute("viewBox", `0 0 ${w} ${h}`);
  const title = document.createElementNS(svg.namespaceURI, "title");
  title.textContent = words;
  const path = document.createElementNS(svg.namespaceURI, "path");
  const p = sheet.line?.points ?? new Float32Array();
  const parts: string[] = [];
  for (let i = 0; i < p.length; i += 2) parts.push(`${(p[i] + margin).toFixed(3)} ${(height + margin - p[i + 1]).toFixed(3)}`);
  path.setAttribute("d", parts.length ? `M${parts.join("L")}` : "");
  path.setAttribute("fill", "none");
  path.setAttribute("stroke", "#000");
  path.setAttribute("stroke-width", String(lineWidth));
  path.setAttribute("stroke-linejoin", "round");
  path.setAttribute("stroke-linecap", "round");
  svg.append(title, path);
  host.replaceChildren(svg);
  // A little more than the sheet, so that rounding never asks for a second page.
  page.replaceSync(`@page { size: ${w + 1}mm ${h + 1}mm; margin: 0 }`);
  if (!document.adoptedStyleSheets.includes(page)) document.adoptedStyleSheets = [...document.adoptedStyleSheets, page];
}
