#!/usr/bin/env python3
"""Writes networkx.json: random graphs and the weight of their cheapest perfect
matching, found by NetworkX's max_weight_matching (weights subtracted from a
constant, maximum cardinality), which implements the blossom method after
Z. Galil, "Efficient algorithms for finding maximum matching in graphs", 1986.

Usage: python3 generate.py > networkx.json
"""
import datetime
import json
import random
import sys

import networkx as nx


def cheapest(n, edges):
    graph = nx.Graph()
    graph.add_nodes_from(range(n))
    top = max(w for _, _, w in edges) + 1
    for u, v, w in edges:
        graph.add_edge(u, v, weight=top - w, cost=w)
    pairs = nx.max_weight_matching(graph, maxcardinality=True, weight="weight")
    if 2 * len(pairs) < n:
        return None
    return sum(graph[u][v]["cost"] for u, v in pairs)


def case(rng, n, kind):
    edges = {}
    if kind == "plane":  # rounded distances between random points, complete
        points = [(rng.randrange(1000), rng.randrange(1000)) for _ in range(n)]
        for u in range(n):
            for v in range(u + 1, n):
                dx, dy = points[u][0] - points[v][0], points[u][1] - points[v][1]
                edges[u, v] = round((dx * dx + dy * dy) ** 0.5)
    else:
        density, top = {"sparse": (3.0 / n, 100), "ties": (6.0 / n, 3), "dense": (0.6, 10000), "negative": (0.4, 50)}[kind]
        for u in range(n):
            for v in range(u + 1, n):
                if rng.random() < density:
                    edges[u, v] = rng.randrange(top) - (top // 2 if kind == "negative" else 0)
    listed = [[u, v, w] for (u, v), w in sorted(edges.items())]
    return {"kind": kind, "vertices": n, "edges": listed, "weight": cheapest(n, listed) if listed else None}


def main():
    rng = random.Random(1965)
    cases = []
    for kind in ("plane", "sparse", "ties", "dense", "negative"):
        for n in (4, 6, 8, 10, 14, 20, 26, 32, 40) + ((60, 80) if kind in ("sparse", "ties") else ()):
            for _ in range(2):
                cases.append(case(rng, n, kind))
    json.dump({
        "source": "networkx.max_weight_matching",
        "version": nx.__version__,
        "python": sys.version.split()[0],
        "date": datetime.date.today().isoformat(),
        "cases": cases,
    }, sys.stdout, separators=(",", ":"))
    print()


main()
