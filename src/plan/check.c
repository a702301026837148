/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/check.h"

#include <math.h>
#include <stdlib.h>

bool es_is_broken(const es_checker *checker, es_list_id list)
{
    return checker->reader->broken & 1u << list;
}

const earshot_material *es_material_of(const es_checker *checker, const char *name)
{
    const es_named *named = es_names_find(&checker->reader->names, ES_SPACE_MATERIAL, name, NULL);
    return named && named->item != ES_BROKEN ? &checker->plan->material[named->item] : NULL;
}

static const earshot_electrical *electrical_of(const es_checker *checker, const char *name)
{
    const es_named *named = es_names_find(&checker->reader->names, ES_SPACE_ELECTRICAL, name, NULL);
    return named && named->item != ES_BROKEN ? &checker->plan->electrical[named->item] : NULL;
}

bool es_is_metal(const es_checker *checker, const earshot_material *material)
{
    for (size_t i = 0; i < material->n_layers; i++) {
        const earshot_electrical *class = electrical_of(checker, material->layer[i].electrical);
        if (class && class->conductor) return true;
    }
    return false;
}

const earshot_radio *es_radio_variant(const es_checker *checker, const char *name, double hz)
{
    const es_names *names = &checker->reader->names;
    const earshot_radio *best = NULL, *any = NULL;
    double nearest = ES_BAND_WIDTH_HZ;
    const es_named *named = es_names_find(names, ES_SPACE_RADIO, name, NULL);
    for (; named; named = es_names_find(names, ES_SPACE_RADIO, name, named)) {
        if (named->item == ES_BROKEN) continue;
        const earshot_radio *radio = &checker->plan->radio[named->item];
        const double off = fabs(radio->band_hz - hz);
        if (isnan(radio->band_hz)) any = radio;
        if (off <= nearest) {
            nearest = off;
            best = radio;
        }
    }
    return best ? best : any;
}

es_box es_box_around(earshot_point a, earshot_point b, double wider)
{
    return (es_box){fmin(a.x_m, b.x_m) - wider, fmin(a.y_m, b.y_m) - wider, fmax(a.x_m, b.x_m) + wider,
                    fmax(a.y_m, b.y_m) + wider};
}

double es_distance_m(earshot_point a, earshot_point b)
{
    return hypot(a.x_m - b.x_m, a.y_m - b.y_m);
}

static void add_pieces(es_checker *checker, size_t wall)
{
    const earshot_wall *w = &checker->plan->wall[wall];
    const double height = checker->plan->storey[w->storey].height_m;
    for (size_t i = 0; i + 1 < w->n_points; i++) {
        checker->piece[checker->n_pieces++] = (es_piece){
            .a = w->point[i],
            .b = w->point[i + 1],
            .wall = wall,
            .piece = i,
            .storey = w->storey,
            .low_m = isnan(w->from_m) ? 0 : w->from_m,
            .high_m = isnan(w->to_m) ? height : w->to_m,
        };
    }
}

static bool collect_pieces(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    size_t n = 0;
    for (size_t i = 0; i < plan->n_walls; i++) n += plan->wall[i].n_points - 1;
    checker->piece = calloc(n + 1, sizeof *checker->piece);
    es_box *box = calloc(n + 1, sizeof *box);
    if (checker->piece && box) {
        for (size_t i = 0; i < plan->n_walls; i++) add_pieces(checker, i);
        for (size_t i = 0; i < n; i++) box[i] = es_box_around(checker->piece[i].a, checker->piece[i].b, 0);
        checker->piece_tree = es_box_tree_new(box, n);
    }
    free(box);
    return checker->piece_tree != NULL;
}

static bool collect_posts(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    const size_t n = plan->n_receivers + plan->n_mounts + plan->n_devices;
    es_post *post = checker->post = calloc(n + 1, sizeof *post);
    if (!post) return false;
    for (size_t i = 0; i < plan->n_receivers; i++) {
        const earshot_receiver *r = &plan->receiver[i];
        *post++ = (es_post){"receiver", r->name, r->place, r->storey, r->point, r->at_m, 1};
    }
    for (size_t i = 0; i < plan->n_mounts; i++) {
        const earshot_mount *m = &plan->mount[i];
        *post++ = (es_post){"mount", m->name, m->place, m->storey, m->point, m->at_m, 1};
    }
    for (size_t i = 0; i < plan->n_devices; i++) {
        const earshot_device *d = &plan->device[i];
        *post++ = (es_post){"device", d->name, d->place, d->storey, d->point, d->at_m, 2};
    }
    checker->n_posts = n;
    return true;
}

static void run(es_checker *checker)
{
    static void (*const MISTAKES[])(es_checker *) = {es_check_names,  es_check_materials, es_check_radios,
                                                     es_check_shapes, es_check_openings,  es_check_posts};
    /* Only 20 are kept: what guards life first, slips of drawing last. */
    static void (*const WARNINGS[])(es_checker *) = {es_warn_posts, es_warn_radios, es_warn_materials, es_warn_walls};
    es_reader *reader = checker->reader;
    for (size_t i = 0; i < sizeof MISTAKES / sizeof MISTAKES[0]; i++) {
        if (reader->memory_out || es_report_full(&reader->report)) return;
        MISTAKES[i](checker);
    }
    if (reader->report.findings->n_mistakes) return;
    for (size_t i = 0; i < sizeof WARNINGS / sizeof WARNINGS[0] && !reader->memory_out; i++) WARNINGS[i](checker);
}

void es_check(es_reader *reader)
{
    es_checker checker = {.reader = reader, .plan = reader->plan};
    if (collect_pieces(&checker) && collect_posts(&checker))
        run(&checker);
    else
        reader->memory_out = true;
    es_box_tree_free(checker.piece_tree);
    free(checker.piece);
    free(checker.post);
}
