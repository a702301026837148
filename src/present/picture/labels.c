/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Placing labels: each tries places on rings around its mark, nearest first, and takes the cheapest that is free. The
 * most important and the most crowded go first; then every label may move once more, now that all are known. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "present/drawing/letters.h"
#include "present/drawing/ramp.h"
#include "present/picture/marks.h"

static const double LABEL_PT = 7.2, PAD_PT = 1.6, GAP_PT = 1.2, BESIDE_PT = 3.0;
enum { RINGS = 14, WAYS = 16, MOST_LABELS = 400 };

typedef struct placing {
    es_label *label;
    size_t n;
    es_box area;
    const es_box *taken;
    size_t n_taken;
} placing;

static es_type type_of(const es_label *l)
{
    return (es_type){.size_pt = LABEL_PT, .bold = l->bold || l->badge};
}

static bool overlap(es_box a, es_box b)
{
    return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

static es_box box_of(const es_label *l)
{
    return (es_box){l->left - GAP_PT, l->top - GAP_PT, l->left + l->width + GAP_PT, l->top + l->height + GAP_PT};
}

static es_box mark_box(const es_label *l)
{
    const double half = ES_MARK_PT;
    return (es_box){l->x - half, l->y - half, l->x + half, l->y + half};
}

static bool is_free(const placing *p, const es_label *me)
{
    const es_box mine = box_of(me);
    if (mine.left < p->area.left || mine.right > p->area.right || mine.top < p->area.top ||
        mine.bottom > p->area.bottom)
        return false;
    for (size_t i = 0; i < p->n_taken; i++)
        if (overlap(mine, p->taken[i])) return false;
    for (size_t i = 0; i < p->n; i++) {
        const es_label *other = &p->label[i];
        if (overlap(mine, mark_box(other))) return false;
        if (other != me && !isnan(other->left) && overlap(mine, box_of(other))) return false;
    }
    return true;
}

/* Where a leader meets the label: the nearest point of its box. */
static void nearest_point(const es_label *l, double *x, double *y)
{
    *x = fmin(fmax(l->x, l->left), l->left + l->width);
    *y = fmin(fmax(l->y, l->top), l->top + l->height);
}

/* Twice the area of a triangle, with its sign. */
static double turn(double ax, double ay, double bx, double by, double cx, double cy)
{
    return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
}

static bool segments_cross(double ax, double ay, double bx, double by, double cx, double cy, double dx, double dy)
{
    return turn(ax, ay, bx, by, cx, cy) * turn(ax, ay, bx, by, dx, dy) < 0.0 &&
           turn(cx, cy, dx, dy, ax, ay) * turn(cx, cy, dx, dy, bx, by) < 0.0;
}

static bool segment_hits_box(double ax, double ay, double bx, double by, es_box b)
{
    return segments_cross(ax, ay, bx, by, b.left, b.top, b.right, b.bottom) ||
           segments_cross(ax, ay, bx, by, b.left, b.bottom, b.right, b.top);
}

/* How often the leader runs over others: their leaders, labels and marks. */
static double tangles(const placing *p, const es_label *me)
{
    double x, y, ox, oy, sum = 0.0;
    nearest_point(me, &x, &y);
    for (size_t i = 0; i < p->n; i++) {
        const es_label *other = &p->label[i];
        if (other == me) continue;
        sum += segment_hits_box(me->x, me->y, x, y, mark_box(other));
        if (isnan(other->left)) continue;
        nearest_point(other, &ox, &oy);
        sum += segments_cross(me->x, me->y, x, y, other->x, other->y, ox, oy);
        sum += segment_hits_box(me->x, me->y, x, y, box_of(other));
        sum += segment_hits_box(other->x, other->y, ox, oy, box_of(me));
    }
    return sum;
}

/* Right and left of the mark read best. */
static void stand(es_label *l, int ring, int way)
{
    const double angle = 2.0 * ES_PI * way / WAYS, reach = ES_MARK_PT + BESIDE_PT + 7.0 * ring;
    const double dx = cos(angle), dy = -sin(angle);
    l->left = l->x + dx * reach - (1.0 - dx) / 2.0 * l->width;
    l->top = l->y + dy * reach - (1.0 - dy) / 2.0 * l->height;
}

static void place_one(const placing *p, es_label *l)
{
    double best = INFINITY, left = NAN, top = NAN;
    l->left = l->top = NAN;
    for (int ring = 0; ring < RINGS && (double)ring * 7.0 < best; ring++) {
        for (int way = 0; way < WAYS; way++) {
            es_label trial = *l;
            stand(&trial, ring, way);
            *l = trial;
            if (!is_free(p, l)) continue;
            const double slope = way % (WAYS / 2) == 0 ? 0.0 : way % (WAYS / 4) == 0 ? 1.0 : 2.0;
            const double cost = 7.0 * ring + slope + 40.0 * tangles(p, l);
            if (cost >= best) continue;
            best = cost;
            left = trial.left;
            top = trial.top;
        }
    }
    l->left = left;
    l->top = top;
}

/* How many marks are near: those in a crowd choose first. */
static size_t crowd(const placing *p, const es_label *l)
{
    size_t near = 0;
    for (size_t i = 0; i < p->n; i++) near += hypot(p->label[i].x - l->x, p->label[i].y - l->y) < 40.0;
    return near;
}

static bool goes_before(const placing *p, size_t a, size_t b)
{
    const es_label *x = &p->label[a], *y = &p->label[b];
    if (x->important != y->important) return x->important;
    const size_t near_x = crowd(p, x), near_y = crowd(p, y);
    return near_x != near_y ? near_x > near_y : a < b;
}

void es_labels_place(es_pen *pen, es_label *label, size_t n, es_box area, const es_box *taken, size_t n_taken)
{
    const placing p = {label, n < MOST_LABELS ? n : MOST_LABELS, area, taken, n_taken};
    size_t order[MOST_LABELS];
    for (size_t i = 0; i < n; i++) {
        label[i].left = label[i].top = NAN;
        if (i >= p.n) continue;
        es_letters_size(pen, label[i].words, type_of(&label[i]), &label[i].width, &label[i].height);
        label[i].width += 2.0 * PAD_PT;
    }
    for (size_t i = 0; i < p.n; i++) {
        size_t at = i;
        for (; at > 0 && goes_before(&p, i, order[at - 1]); at--) order[at] = order[at - 1];
        order[at] = i;
    }
    for (int round = 0; round < 3; round++)
        for (size_t i = 0; i < p.n; i++) place_one(&p, &label[order[i]]);
}

static void draw_leader(cairo_t *c, const es_label *l)
{
    double x, y;
    nearest_point(l, &x, &y);
    if (hypot(x - l->x, y - l->y) < ES_MARK_PT + BESIDE_PT + 2.0) return;
    cairo_move_to(c, l->x, l->y);
    cairo_line_to(c, x, y);
    cairo_set_source_rgb(c, 1.0, 1.0, 1.0);
    cairo_set_line_width(c, 2.0);
    cairo_stroke_preserve(c);
    cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(c, 0.7);
    cairo_stroke(c);
}

static void draw_words(es_pen *pen, const es_label *l)
{
    cairo_rectangle(pen->cairo, l->left, l->top, l->width, l->height);
    if (l->badge)
        cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    else
        cairo_set_source_rgba(pen->cairo, 1.0, 1.0, 1.0, 0.88);
    cairo_fill(pen->cairo);
    const double tone = l->badge ? 1.0 : 0.0;
    cairo_set_source_rgb(pen->cairo, tone, tone, tone);
    es_letters_line(pen, l->left + PAD_PT, l->top, l->words, type_of(l));
}

void es_labels_draw(es_pen *pen, const es_label *label, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isnan(label[i].left)) draw_leader(pen->cairo, &label[i]);
    for (size_t i = 0; i < n; i++)
        if (!isnan(label[i].left)) draw_words(pen, &label[i]);
}
