/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Receivers, mounts and devices: places where such a thing can be. */
#include <math.h>
#include <stdlib.h>

#include "geometry/geometry.h"
#include "plan/check.h"

/* An outdoor sounder may hang above the highest ceiling, on a gable or a chimney; common practice, no source. */
#define ABOVE_CEILING_M 3.0
#define SKIN_M 0.001
#define ROUNDING_M 1e-9

static bool in_some_storey(const earshot_plan *plan, double z)
{
    double top = -INFINITY;
    for (size_t i = 0; i < plan->n_storeys; i++) {
        const double level = plan->storey[i].level_m, ceiling = level + plan->storey[i].height_m;
        if (z >= level - ROUNDING_M && z <= ceiling + ROUNDING_M) return true;
        top = fmax(top, ceiling);
    }
    return z >= top && z <= top + ABOVE_CEILING_M + ROUNDING_M;
}

static void check_height(es_checker *checker, const es_post *p)
{
    const earshot_storey *storey = &checker->plan->storey[p->storey];
    es_reader *reader = checker->reader;
    if (p->at_m >= 0 && in_some_storey(checker->plan, storey->level_m + p->at_m)) return;
    es_hint(es_invalid(reader, es_key_place(reader, p->place, "at"), "%s '%s' at %.4g m is %s", p->noun, p->name,
                       p->at_m, p->at_m < 0 ? "below the floor of its storey" : "outside every storey"),
            "at= is above the floor; the ceiling of storey '%s' is at %.4g m", storey->name, storey->height_m);
}

/* A block of closed metal, heights above level 0. */
typedef struct tank {
    const earshot_block *block;
    double low_m, high_m;
} tank;

typedef struct tanks {
    tank *tank;
    size_t n;
    es_box_tree *tree;
    const es_post *post; /* being looked at */
    double z_m;
    const tank *around; /* the tank that it is in */
} tanks;

static double from_edge_m(const earshot_block *b, earshot_point point)
{
    double nearest = INFINITY;
    for (size_t i = 0; i < b->n_points; i++) {
        nearest = fmin(nearest, es_segment_distance_m(b->point[i], b->point[(i + 1) % b->n_points], point, NULL));
    }
    return nearest;
}

/* What is fixed to the outside of a tank is not in it. */
static bool look_inside(void *context, size_t i)
{
    tanks *t = context;
    const tank *found = &t->tank[i];
    if (t->z_m <= found->low_m + SKIN_M || t->z_m >= found->high_m - SKIN_M) return true;
    const earshot_block *b = found->block;
    if (!es_polygon_contains(b->point, b->n_points, t->post->point, 0)) return true;
    if (from_edge_m(b, t->post->point) <= SKIN_M) return true;
    t->around = found;
    return false;
}

static es_box block_box(const earshot_block *b)
{
    es_box box = es_box_around(b->point[0], b->point[0], 0);
    for (size_t i = 1; i < b->n_points; i++) {
        const earshot_point p = b->point[i];
        box = (es_box){fmin(box.x0, p.x_m), fmin(box.y0, p.y_m), fmax(box.x1, p.x_m), fmax(box.y1, p.y_m)};
    }
    return box;
}

static void collect_tanks(const es_checker *checker, tanks *t, es_box *box)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const earshot_block *b = &plan->block[i];
        const earshot_material *material = es_material_of(checker, b->material);
        if (!material || !es_is_metal(checker, material)) continue;
        const earshot_storey *storey = &plan->storey[b->storey];
        t->tank[t->n] = (tank){
            .block = b,
            .low_m = storey->level_m + (isnan(b->from_m) ? 0 : b->from_m),
            .high_m = storey->level_m + (isnan(b->to_m) ? storey->height_m : b->to_m),
        };
        box[t->n++] = block_box(b);
    }
}

static void check_inside(es_checker *checker, tanks *t)
{
    es_reader *reader = checker->reader;
    for (size_t i = 0; i < checker->n_posts && !es_report_full(&reader->report); i++) {
        const es_post *p = t->post = &checker->post[i];
        t->z_m = checker->plan->storey[p->storey].level_m + p->at_m;
        t->around = NULL;
        es_box_tree_find(t->tree, es_box_around(p->point, p->point, 0), look_inside, t);
        if (!t->around) continue;
        es_hint(es_invalid(reader, es_positional_place(reader, p->place, p->point_field),
                           "%s '%s' is inside the metal block of line %u", p->noun, p->name,
                           t->around->block->place.line),
                "closed metal lets nothing through; move it to the outside");
    }
}

static void check_tanks(es_checker *checker)
{
    const size_t n = checker->plan->n_blocks;
    if (!n || !checker->n_posts) return;
    tanks t = {.tank = calloc(n, sizeof *t.tank)};
    es_box *box = calloc(n, sizeof *box);
    if (t.tank && box) {
        collect_tanks(checker, &t, box);
        t.tree = es_box_tree_new(box, t.n);
    }
    if (t.tree)
        check_inside(checker, &t);
    else
        checker->reader->memory_out = true;
    es_box_tree_free(t.tree);
    free(box);
    free(t.tank);
}

void es_check_posts(es_checker *checker)
{
    if (es_is_broken(checker, ES_LIST_STOREY)) return;
    for (size_t i = 0; i < checker->n_posts && !es_report_full(&checker->reader->report); i++) {
        check_height(checker, &checker->post[i]);
    }
    check_tanks(checker);
}

static void warn_receivers(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    es_report *report = &checker->reader->report;
    if (!plan->n_receivers && plan->n_devices) {
        es_hint(es_warning(report, plan->device[0].place, "the plan has devices but no receiver"),
                "nothing can be judged without a line such as 'receiver panel 1.0,8.8 at=1.6m radio=hub'");
    }
    if (plan->n_receivers < 2) return;
    es_hint(es_warning(report, plan->receiver[1].place, "the plan has %zu receivers; '%s', the first, is judged",
                       plan->n_receivers, plan->receiver[0].name),
            "the others are places to compare it with");
}

/* Once a plan: which codes apply is not ours to say. */
static void warn_life_safety(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_devices; i++) {
        const earshot_device *d = &plan->device[i];
        if (!earshot_kind_is_life_safety(d->kind) || d->wiring == EARSHOT_WIRING_MUST) continue;
        es_hint(es_warning(&checker->reader->report, es_positional_place(checker->reader, d->place, 1),
                           "'%s' guards life and has one radio path only", d->name),
                "whether smoke, heat, gas or attack alarms may rely on that is for local codes and licensed "
                "practice to say; a margin is an estimate, not an approval");
        return;
    }
}

void es_warn_posts(es_checker *checker)
{
    warn_receivers(checker);
    warn_life_safety(checker);
}
