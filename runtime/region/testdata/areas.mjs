// Answers with clipper2-ts 2.0.1 (BSL-1.0), from the folder of modules that is
// given. Reads a line a time: two regions as lists of rings and an offset in mm, as
// JSON. Writes a line for each: the areas of the first region, of union,
// intersection and difference, and of the first region grown by the offset.
import { createInterface } from 'node:readline'
import { pathToFileURL } from 'node:url'
import { join } from 'node:path'

const c = await import(pathToFileURL(join(process.argv[2], 'clipper2-ts/dist/index.js')))
const scale = 2 ** 20
const paths = rings => rings.map(ring => ring.map(([x, y]) => ({ x: Math.round(x * scale), y: Math.round(y * scale) })))
const mm2 = paths => c.areaPaths(paths) / scale / scale
for await (const line of createInterface({ input: process.stdin })) {
  const { a, b, mm } = JSON.parse(line)
  const [p, q] = [paths(a), paths(b)]
  const simple = c.union(p, c.FillRule.EvenOdd)
  const grown = c.inflatePaths(simple, mm * scale, c.JoinType.Round, c.EndType.Polygon, 2, 0.0005 * scale)
  console.log(JSON.stringify([
    mm2(simple), mm2(c.union(p, q, c.FillRule.EvenOdd)), mm2(c.intersect(p, q, c.FillRule.EvenOdd)),
    mm2(c.difference(p, q, c.FillRule.EvenOdd)), mm2(grown),
  ]))
}
