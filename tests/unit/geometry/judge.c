/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "unit/geometry/judge.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

static const double TINY = 1e-9;

typedef struct course {
    earshot_vec3 a, b;
} course;

static double cross(double ax, double ay, double bx, double by)
{
    return ax * by - ay * bx;
}

static double length(const course *c)
{
    return sqrt((c->b.x_m - c->a.x_m) * (c->b.x_m - c->a.x_m) + (c->b.y_m - c->a.y_m) * (c->b.y_m - c->a.y_m) +
                (c->b.z_m - c->a.z_m) * (c->b.z_m - c->a.z_m));
}

static earshot_point at(const course *c, double t)
{
    return (earshot_point){c->a.x_m + t * (c->b.x_m - c->a.x_m), c->a.y_m + t * (c->b.y_m - c->a.y_m)};
}

/* Narrow t0..t1 to where a value that goes from v0 to v1 is within low..high. */
static void clip(double v0, double v1, double low, double high, double *t0, double *t1)
{
    if (v0 == v1) {
        if (v0 < low - TINY || v0 > high + TINY) *t1 = -1;
        return;
    }
    const double s = (low - v0) / (v1 - v0), e = (high - v0) / (v1 - v0);
    *t0 = fmax(*t0, fmin(s, e));
    *t1 = fmin(*t1, fmax(s, e));
}

/* Angle between the course and a normal with this component along it, per metre of both. */
static double incidence(double cosine)
{
    return acos(fmin(1, fabs(cosine)));
}

static bool judge_panel(const es_panel *p, const course *c, judged *hit)
{
    const double ux = p->bx_m - p->ax_m, uy = p->by_m - p->ay_m, square = ux * ux + uy * uy;
    const double fa = cross(ux, uy, c->a.x_m - p->ax_m, c->a.y_m - p->ay_m);
    const double fb = cross(ux, uy, c->b.x_m - p->ax_m, c->b.y_m - p->ay_m);
    double t0 = 0, t1 = 1;
    clip(ux * (c->a.x_m - p->ax_m) + uy * (c->a.y_m - p->ay_m), ux * (c->b.x_m - p->ax_m) + uy * (c->b.y_m - p->ay_m),
         0, square, &t0, &t1);
    clip(c->a.z_m, c->b.z_m, p->z0_m, p->z1_m, &t0, &t1);
    if (t0 > t1 + TINY) return false;
    const double dx = c->b.x_m - c->a.x_m, dy = c->b.y_m - c->a.y_m;
    const double sa = cross(dx, dy, p->ax_m - c->a.x_m, p->ay_m - c->a.y_m);
    const double sb = cross(dx, dy, p->bx_m - c->a.x_m, p->by_m - c->a.y_m);
    *hit = (judged){.element = p->element, .left = sa > TINY || sb > TINY, .right = sa < -TINY || sb < -TINY};
    if (fa == 0 && fb == 0) {
        hit->kind = STRETCH;
        hit->t0 = t0;
        hit->t1 = fmax(t0, t1);
        hit->incidence_rad = ES_PI / 2;
    } else {
        if ((fa > 0 && fb > 0) || (fa < 0 && fb < 0)) return false;
        const double t = fa / (fa - fb);
        if (t < t0 - TINY || t > t1 + TINY) return false;
        hit->kind = SPOT;
        hit->t0 = hit->t1 = t;
        hit->incidence_rad = incidence((fb - fa) / (sqrt(square) * length(c)));
    }
    hit->holds_end = hit->t0 <= TINY || hit->t1 >= 1 - TINY;
    return true;
}

/* 0 on the edge, 1 inside, -1 outside, by the angle under which the point sees the outline go round it. */
static int where(const earshot_point *corner, size_t n, earshot_point p)
{
    double turned = 0;
    for (size_t i = 0; i < n; i++) {
        const double ax = corner[i].x_m - p.x_m, ay = corner[i].y_m - p.y_m;
        const double bx = corner[(i + 1) % n].x_m - p.x_m, by = corner[(i + 1) % n].y_m - p.y_m;
        const double dot = ax * bx + ay * by;
        if (fabs(cross(ax, ay, bx, by)) <= TINY && dot <= TINY) return 0;
        turned += atan2(cross(ax, ay, bx, by), dot);
    }
    return fabs(turned) > ES_PI ? 1 : -1;
}

static bool in_sheet(const es_sheet *s, earshot_point p)
{
    if (where(s->outline, s->n_outline, p) < 0) return false;
    for (size_t i = 0; i < s->n_holes; i++)
        if (where(s->hole[i], s->n_hole[i], p) > 0) return false;
    return true;
}

typedef struct cuts {
    double t[16 * CORNERS_MAX];
    size_t n;
} cuts;

static void cut(cuts *k, const earshot_point *corner, size_t n, const course *c)
{
    const double dx = c->b.x_m - c->a.x_m, dy = c->b.y_m - c->a.y_m;
    for (size_t i = 0; i < n; i++) {
        const earshot_point p = corner[i], q = corner[(i + 1) % n];
        const double ex = q.x_m - p.x_m, ey = q.y_m - p.y_m, down = cross(dx, dy, ex, ey);
        const double px = p.x_m - c->a.x_m, py = p.y_m - c->a.y_m;
        if (down != 0) {
            k->t[k->n++] = cross(px, py, ex, ey) / down;
        } else if (cross(dx, dy, px, py) == 0 && (dx != 0 || dy != 0)) {
            k->t[k->n++] = (px * dx + py * dy) / (dx * dx + dy * dy);
            k->t[k->n++] = ((px + ex) * dx + (py + ey) * dy) / (dx * dx + dy * dy);
        }
    }
}

static int rising(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Pairs in k of the parts of t0..t1 that `inside` holds true for between the cuts. */
static void keep_inside(cuts *k, double t0, double t1, const course *c, bool (*inside)(const void *, earshot_point),
                        const void *what)
{
    cuts kept = {.n = 0}, range = {.t = {t0, t1}, .n = 2};
    for (size_t i = 0; i < k->n; i++)
        if (k->t[i] > t0 && k->t[i] < t1) range.t[range.n++] = k->t[i];
    qsort(range.t, range.n, sizeof *range.t, rising);
    for (size_t i = 0; i + 1 < range.n; i++) {
        if (range.t[i + 1] - range.t[i] <= TINY) continue;
        if (!inside(what, at(c, (range.t[i] + range.t[i + 1]) / 2))) continue;
        if (kept.n && range.t[i] - kept.t[kept.n - 1] <= TINY)
            kept.n--;
        else
            kept.t[kept.n++] = range.t[i];
        kept.t[kept.n++] = range.t[i + 1];
    }
    *k = kept;
}

static bool sheet_holds(const void *sheet, earshot_point p)
{
    return in_sheet(sheet, p);
}

static bool prism_holds(const void *prism, earshot_point p)
{
    const es_prism *k = prism;
    return where(k->outline, k->n_outline, p) > 0;
}

static size_t judge_sheet(const es_sheet *s, const course *c, judged *hit)
{
    const double fa = c->a.z_m - s->z_m, fb = c->b.z_m - s->z_m;
    const judged common = {.element = s->element, .left = true, .right = true};
    if (fa != 0 || fb != 0) {
        if ((fa > 0 && fb > 0) || (fa < 0 && fb < 0)) return 0;
        const double t = fa / (fa - fb);
        if (!in_sheet(s, at(c, t))) return 0;
        *hit = common;
        hit->kind = SPOT;
        hit->t0 = hit->t1 = t;
        hit->holds_end = t <= TINY || t >= 1 - TINY;
        hit->incidence_rad = incidence((c->b.z_m - c->a.z_m) / length(c));
        return 1;
    }
    cuts k = {.n = 0};
    cut(&k, s->outline, s->n_outline, c);
    for (size_t i = 0; i < s->n_holes; i++) cut(&k, s->hole[i], s->n_hole[i], c);
    keep_inside(&k, 0, 1, c, sheet_holds, s);
    for (size_t i = 0; i < k.n; i += 2) {
        hit[i / 2] = common;
        hit[i / 2].kind = STRETCH;
        hit[i / 2].t0 = k.t[i];
        hit[i / 2].t1 = k.t[i + 1];
        hit[i / 2].holds_end = k.t[i] <= TINY || k.t[i + 1] >= 1 - TINY;
        hit[i / 2].incidence_rad = ES_PI / 2;
    }
    return k.n / 2;
}

static double surface_incidence(const es_prism *p, const course *c, double t)
{
    const earshot_point q = at(c, t);
    const double z = c->a.z_m + t * (c->b.z_m - c->a.z_m);
    double least = 9;
    if (fabs(z - p->z0_m) <= TINY || fabs(z - p->z1_m) <= TINY) least = incidence((c->b.z_m - c->a.z_m) / length(c));
    for (size_t i = 0; i < p->n_outline; i++) {
        const earshot_point a = p->outline[i], b = p->outline[(i + 1) % p->n_outline];
        const double ux = b.x_m - a.x_m, uy = b.y_m - a.y_m, size = hypot(ux, uy);
        const double along = (ux * (q.x_m - a.x_m) + uy * (q.y_m - a.y_m)) / (size * size);
        if (along < -TINY || along > 1 + TINY || fabs(cross(ux, uy, q.x_m - a.x_m, q.y_m - a.y_m)) > TINY) continue;
        least = fmin(least, incidence(cross(ux, uy, c->b.x_m - c->a.x_m, c->b.y_m - c->a.y_m) / (size * length(c))));
    }
    return least;
}

static size_t judge_prism(const es_prism *p, const course *c, judged *hit)
{
    double t0 = 0, t1 = 1;
    clip(c->a.z_m, c->b.z_m, p->z0_m, p->z1_m, &t0, &t1);
    if (t0 >= t1) return 0;
    cuts k = {.n = 0};
    cut(&k, p->outline, p->n_outline, c);
    keep_inside(&k, t0, t1, c, prism_holds, p);
    size_t n = 0;
    for (size_t i = 0; i < k.n; i += 2) {
        const double z = c->a.z_m + (k.t[i] + k.t[i + 1]) / 2 * (c->b.z_m - c->a.z_m);
        if (z <= p->z0_m || z >= p->z1_m) continue;
        const double rad = fmin(surface_incidence(p, c, k.t[i]), surface_incidence(p, c, k.t[i + 1]));
        hit[n++] = (judged){.t0 = k.t[i], .t1 = k.t[i + 1], .element = p->element, .kind = SOLID};
        hit[n - 1].incidence_rad = rad > 5 ? 0 : rad;
    }
    return n;
}

/* Make hits j and k one group, with everything they have. */
static void unite(judged *hit, size_t n, size_t j, size_t k)
{
    const size_t old = hit[k].group, group = hit[j].group;
    judged whole = hit[j];
    whole.t0 = fmin(hit[j].t0, hit[k].t0);
    whole.t1 = fmax(hit[j].t1, hit[k].t1);
    for (size_t i = 0; i < n; i++) {
        if (hit[i].group != old && hit[i].group != group) continue;
        whole.holds_end |= hit[i].holds_end;
        whole.left |= hit[i].left;
        whole.right |= hit[i].right;
    }
    for (size_t i = 0; i < n; i++) {
        if (hit[i].group != old && hit[i].group != group) continue;
        hit[i].t0 = whole.t0;
        hit[i].t1 = whole.t1;
        hit[i].holds_end = whole.holds_end;
        hit[i].left = whole.left;
        hit[i].right = whole.right;
        hit[i].group = group;
    }
}

static bool one_obstacle(const judged *a, const judged *b)
{
    if (a->kind != b->kind || a->kind == SOLID) return false;
    return a->t0 <= b->t1 + TINY && b->t0 <= a->t1 + TINY;
}

static bool at_corner(const judged *stretch, const judged *spot)
{
    if (stretch->kind != STRETCH || spot->kind != SPOT || (spot->left && spot->right)) return false;
    return fabs(spot->t0 - stretch->t0) <= TINY || fabs(spot->t0 - stretch->t1) <= TINY;
}

static size_t group_up(judged *hit, size_t n)
{
    for (size_t i = 0; i < n; i++) hit[i].group = i;
    for (bool again = true; again;) {
        again = false;
        for (size_t j = 0; j < n; j++) {
            for (size_t k = 0; k < n; k++) {
                if (hit[j].group == hit[k].group || !one_obstacle(&hit[j], &hit[k])) continue;
                unite(hit, n, j, k);
                again = true;
            }
        }
    }
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (hit[i].kind == SOLID || !hit[i].holds_end) hit[kept++] = hit[i];
    for (size_t j = 0; j < kept; j++) {
        for (size_t k = 0; k < kept; k++) {
            if (!at_corner(&hit[j], &hit[k])) continue;
            hit[k].kind = STRETCH;
            hit[k].group = hit[j].group;
            hit[k].t0 = hit[j].t0;
            hit[k].t1 = hit[j].t1;
        }
    }
    return kept;
}

size_t judge_crossings(const test_site *site, earshot_vec3 a, earshot_vec3 b, judged *crossing)
{
    const course c = {a, b};
    size_t n = 0;
    if (length(&c) <= 1e-6) return 0;
    for (size_t i = 0; i < site->n_panels; i++) n += judge_panel(&site->panel[i], &c, &crossing[n]);
    for (size_t i = 0; i < site->n_sheets; i++) n += judge_sheet(&site->sheet[i], &c, &crossing[n]);
    for (size_t i = 0; i < site->n_prisms; i++) n += judge_prism(&site->prism[i], &c, &crossing[n]);
    return group_up(crossing, n);
}
