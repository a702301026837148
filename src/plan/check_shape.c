/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walls that have a length, polygons that have an area, heights that are the right way up. */
#include <math.h>
#include <stdlib.h>

#include "geometry/geometry.h"
#include "plan/check.h"

#define SHORTEST_M 0.001
#define TOUCH_M 1e-9
/* A roof above the ceiling of its loft; common practice, no source. */
#define ROOF_ABOVE_M 3.0

static void check_wall_length(es_checker *checker, const earshot_wall *w)
{
    for (size_t i = 0; i + 1 < w->n_points; i++) {
        if (es_distance_m(w->point[i], w->point[i + 1]) >= SHORTEST_M) continue;
        es_hint(es_invalid(checker->reader, es_positional_place(checker->reader, w->place, i + 2),
                           "a piece of this wall has no length"),
                "two points in a row are one and the same; leave one out");
        return;
    }
}

/* What is not stated runs from the floor to the ceiling. */
static void check_span(es_checker *checker, earshot_place place, unsigned storey, double from_m, double to_m)
{
    if (es_is_broken(checker, ES_LIST_STOREY)) return;
    const double low = isnan(from_m) ? 0 : from_m;
    const double high = isnan(to_m) ? checker->plan->storey[storey].height_m : to_m;
    if (high - low >= SHORTEST_M) return;
    es_hint(es_invalid(checker->reader, es_key_place(checker->reader, place, isnan(to_m) ? "from" : "to"),
                       "it would end at %.4g m, which is not above where it begins, %.4g m", high, low),
            "from= is the lower end, 0 m if not stated; to= the upper, the ceiling if not stated");
}

/* Whether all corners lie on the line through the first and the one farthest from it. */
static bool is_flat(const earshot_point *p, size_t n)
{
    size_t far = 0;
    for (size_t i = 1; i < n; i++) {
        if (es_distance_m(p[0], p[i]) > es_distance_m(p[0], p[far])) far = i;
    }
    for (size_t i = 1; i < n; i++) {
        if (es_segment_distance_m(p[0], p[far], p[i], NULL) >= SHORTEST_M) return false;
    }
    return true;
}

/* `first` is the positional field of the first corner. */
static void check_polygon(es_checker *checker, earshot_place place, size_t first, const earshot_point *p, size_t n)
{
    es_reader *reader = checker->reader;
    for (size_t i = 0; i < n; i++) {
        const size_t next = (i + 1) % n;
        if (es_distance_m(p[i], p[next]) >= SHORTEST_M) continue;
        es_hint(es_invalid(reader, es_positional_place(reader, place, first + (next ? next : i)),
                           "two corners in a row are one and the same"),
                "leave one out");
        return;
    }
    if (is_flat(p, n)) {
        es_hint(es_invalid(reader, place, "this polygon has no area"), "its corners lie on one line");
    } else if (es_polygon_self_crosses(p, n)) {
        es_hint(es_invalid(reader, place, "this polygon crosses or touches itself"),
                "give its corners in order, once around");
    }
}

static void check_slab_height(es_checker *checker, const earshot_slab *s)
{
    if (isnan(s->at_m) || es_is_broken(checker, ES_LIST_STOREY)) return;
    const earshot_storey *storey = &checker->plan->storey[s->storey];
    if (s->at_m >= 0 && s->at_m <= storey->height_m + ROOF_ABOVE_M) return;
    es_hint(es_invalid(checker->reader, es_key_place(checker->reader, s->place, "at"),
                       "a slab at %.4g m lies outside its storey '%s'", s->at_m, storey->name),
            "at= is from 0 m, the floor, to %.4g m, the ceiling, or up to %g m above it for a roof", storey->height_m,
            ROOF_ABOVE_M);
}

/* Whether a hole and a slab have something in common. */
typedef struct over {
    const earshot_plan *plan;
    const earshot_hole *hole;
    bool found;
} over;

static double turn(earshot_point a, earshot_point b, earshot_point p)
{
    return (b.x_m - a.x_m) * (p.y_m - a.y_m) - (b.y_m - a.y_m) * (p.x_m - a.x_m);
}

static bool cross(earshot_point a, earshot_point b, earshot_point c, earshot_point d)
{
    return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}

static bool edges_cross(const earshot_hole *h, const earshot_slab *s)
{
    for (size_t i = 0; i < h->n_points; i++) {
        for (size_t j = 0; j < s->n_points; j++) {
            if (cross(h->point[i], h->point[(i + 1) % h->n_points], s->point[j], s->point[(j + 1) % s->n_points])) {
                return true;
            }
        }
    }
    return false;
}

static bool lies_over(void *context, size_t slab)
{
    over *o = context;
    const earshot_slab *s = &o->plan->slab[slab];
    const earshot_hole *h = o->hole;
    if (s->storey != h->storey) return true;
    o->found = es_polygon_contains(s->point, s->n_points, h->point[0], TOUCH_M) ||
               es_polygon_contains(h->point, h->n_points, s->point[0], TOUCH_M) || edges_cross(h, s);
    return !o->found;
}

static es_box polygon_box(const earshot_point *p, size_t n)
{
    es_box box = es_box_around(p[0], p[0], 0);
    for (size_t i = 1; i < n; i++) {
        box = (es_box){fmin(box.x0, p[i].x_m), fmin(box.y0, p[i].y_m), fmax(box.x1, p[i].x_m), fmax(box.y1, p[i].y_m)};
    }
    return box;
}

static es_box_tree *slab_tree(const earshot_plan *plan)
{
    es_box *box = calloc(plan->n_slabs + 1, sizeof *box);
    if (!box) return NULL;
    for (size_t i = 0; i < plan->n_slabs; i++) box[i] = polygon_box(plan->slab[i].point, plan->slab[i].n_points);
    es_box_tree *tree = es_box_tree_new(box, plan->n_slabs);
    free(box);
    return tree;
}

static void check_holes(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    if (!plan->n_holes || es_is_broken(checker, ES_LIST_SLAB)) return;
    es_box_tree *tree = slab_tree(plan);
    if (!tree) {
        checker->reader->memory_out = true;
        return;
    }
    for (size_t i = 0; i < plan->n_holes; i++) {
        over o = {.plan = plan, .hole = &plan->hole[i]};
        es_box_tree_find(tree, polygon_box(o.hole->point, o.hole->n_points), lies_over, &o);
        if (o.found) continue;
        es_hint(es_invalid(checker->reader, o.hole->place, "a hole where storey '%s' has no slab",
                           plan->storey[o.hole->storey].name),
                "a hole belongs to the storey whose slab, its ceiling, it opens");
    }
    es_box_tree_free(tree);
}

void es_check_shapes(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_walls; i++) {
        const earshot_wall *w = &plan->wall[i];
        check_wall_length(checker, w);
        check_span(checker, w->place, w->storey, w->from_m, w->to_m);
    }
    for (size_t i = 0; i < plan->n_slabs; i++) {
        check_polygon(checker, plan->slab[i].place, 1, plan->slab[i].point, plan->slab[i].n_points);
        check_slab_height(checker, &plan->slab[i]);
    }
    for (size_t i = 0; i < plan->n_holes; i++) {
        check_polygon(checker, plan->hole[i].place, 0, plan->hole[i].point, plan->hole[i].n_points);
    }
    for (size_t i = 0; i < plan->n_avoids; i++) {
        check_polygon(checker, plan->avoid[i].place, 0, plan->avoid[i].point, plan->avoid[i].n_points);
    }
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const earshot_block *b = &plan->block[i];
        check_polygon(checker, b->place, 1, b->point, b->n_points);
        check_span(checker, b->place, b->storey, b->from_m, b->to_m);
    }
    check_holes(checker);
}
