/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closed polygons on the ground plan. Every product is one of differences, so a plan 100 km from its origin loses
 * nothing that its coordinates had. */
#include "geometry/geometry.h"

#include <math.h>

double es_segment_distance_m(earshot_point a, earshot_point b, earshot_point p, double *along)
{
    const double ux = b.x_m - a.x_m, uy = b.y_m - a.y_m;
    const double vx = p.x_m - a.x_m, vy = p.y_m - a.y_m;
    const double square = ux * ux + uy * uy;
    double t = square > 0 ? (ux * vx + uy * vy) / square : 0;
    t = t > 1 ? 1 : t > 0 ? t : 0;
    if (along) *along = t;
    return hypot(vx - t * ux, vy - t * uy);
}

/* Twice the area of the triangle a, b, p: above 0 where p is left of a to b. */
static double side(earshot_point a, earshot_point b, earshot_point p)
{
    return (b.x_m - a.x_m) * (p.y_m - a.y_m) - (b.y_m - a.y_m) * (p.x_m - a.x_m);
}

/* Comparisons, not fmin and fmax: this is asked of every slab by every ray. */
static bool within_box(earshot_point a, earshot_point b, earshot_point p, double margin_m)
{
    const double x = p.x_m, y = p.y_m, m = margin_m;
    return !(x < a.x_m - m && x < b.x_m - m) && !(x > a.x_m + m && x > b.x_m + m) &&
           !(y < a.y_m - m && y < b.y_m - m) && !(y > a.y_m + m && y > b.y_m + m);
}

static bool on_segment(earshot_point a, earshot_point b, earshot_point p, double tolerance_m)
{
    return within_box(a, b, p, tolerance_m) && es_segment_distance_m(a, b, p, NULL) <= tolerance_m;
}

int es_polygon_locate(const earshot_point *corner, size_t n, earshot_point p, double tolerance_m)
{
    bool inside = false;
    for (size_t i = 0; i < n; i++) {
        const earshot_point a = corner[i], b = corner[i + 1 < n ? i + 1 : 0];
        if (on_segment(a, b, p, tolerance_m)) return 0;
        /* Each edge owns its lower end only, so a ray to the right through a corner is counted once. */
        if ((a.y_m <= p.y_m) == (b.y_m <= p.y_m)) continue;
        if ((side(a, b, p) > 0) == (b.y_m > a.y_m)) inside = !inside;
    }
    return inside ? 1 : -1;
}

bool es_polygon_contains(const earshot_point *corner, size_t n, earshot_point p, double tolerance_m)
{
    return es_polygon_locate(corner, n, p, tolerance_m) >= 0;
}

typedef struct edge {
    earshot_point a, b;
} edge;

static edge edge_at(const earshot_point *corner, size_t n, size_t i)
{
    return (edge){corner[i], corner[i + 1 < n ? i + 1 : 0]};
}

static bool is_point(edge e)
{
    return e.a.x_m == e.b.x_m && e.a.y_m == e.b.y_m;
}

/* The edge after edge i that is longer than 0 (a corner written twice makes one of no length). */
static size_t next_edge(const earshot_point *corner, size_t n, size_t i)
{
    size_t next = i;
    do next = next + 1 < n ? next + 1 : 0;
    while (next != i && is_point(edge_at(corner, n, next)));
    return next;
}

static bool boxes_apart(edge e, edge f, double margin_m)
{
    return fmax(e.a.x_m, e.b.x_m) + margin_m < fmin(f.a.x_m, f.b.x_m) ||
           fmax(f.a.x_m, f.b.x_m) + margin_m < fmin(e.a.x_m, e.b.x_m) ||
           fmax(e.a.y_m, e.b.y_m) + margin_m < fmin(f.a.y_m, f.b.y_m) ||
           fmax(f.a.y_m, f.b.y_m) + margin_m < fmin(e.a.y_m, e.b.y_m);
}

static bool cross(edge e, edge f)
{
    const double ea = side(f.a, f.b, e.a), eb = side(f.a, f.b, e.b);
    const double fa = side(e.a, e.b, f.a), fb = side(e.a, e.b, f.b);
    return (ea > 0) != (eb > 0) && (fa > 0) != (fb > 0);
}

/* Do two edges meet elsewhere than in the corner they share? f follows e, or e follows f, or neither; both only where
 * the polygon has two corners and goes there and back. */
static bool edges_clash(edge e, edge f, bool f_follows, bool e_follows)
{
    if (f_follows && e_follows) return true;
    if (!e_follows && on_segment(f.a, f.b, e.a, ES_SPOT_M)) return true;
    if (!f_follows && on_segment(f.a, f.b, e.b, ES_SPOT_M)) return true;
    if (!f_follows && on_segment(e.a, e.b, f.a, ES_SPOT_M)) return true;
    if (!e_follows && on_segment(e.a, e.b, f.b, ES_SPOT_M)) return true;
    return !f_follows && !e_follows && cross(e, f);
}

bool es_polygon_self_crosses(const earshot_point *corner, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const edge e = edge_at(corner, n, i);
        if (is_point(e)) continue;
        for (size_t j = i + 1; j < n; j++) {
            const edge f = edge_at(corner, n, j);
            if (is_point(f) || boxes_apart(e, f, ES_SPOT_M)) continue;
            if (edges_clash(e, f, next_edge(corner, n, i) == j, next_edge(corner, n, j) == i)) return true;
        }
    }
    return false;
}
