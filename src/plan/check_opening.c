/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Doors and windows: the wall that carries each, its heights, and that no two are in the same spot. */
#include <math.h>
#include <stdlib.h>

#include "geometry/geometry.h"
#include "plan/check.h"

#define ON_WALL_M 0.05
#define NARROWEST_M 0.01
#define SAME_M 0.001
#define ROUNDING_M 1e-9
/* Common practice, no source. */
#define DOOR_HEAD_M 2.0
#define WINDOW_SILL_M 0.9
#define WINDOW_HEAD_M 2.1

/* Where an opening stands on its wall. */
typedef struct stand {
    size_t piece; /* of the checker */
    double start_m, end_m;
    size_t opening;
} stand;

static const char *noun(const earshot_opening *o)
{
    return o->window ? "window" : "door";
}

static double sill_on(const earshot_opening *o, const es_piece *p)
{
    return isnan(o->sill_m) ? fmax(o->window ? WINDOW_SILL_M : 0.0, p->low_m) : o->sill_m;
}

static double head_on(const earshot_opening *o, const es_piece *p)
{
    return isnan(o->head_m) ? fmin(o->window ? WINDOW_HEAD_M : DOOR_HEAD_M, p->high_m) : o->head_m;
}

static bool fits(const earshot_opening *o, const es_piece *p)
{
    const double sill = sill_on(o, p), head = head_on(o, p);
    return sill < head && sill >= p->low_m - ROUNDING_M && head <= p->high_m + ROUNDING_M;
}

/* The piece of wall that carries an opening: of those that both ends lie on, one whose heights fit, then the nearest,
 * then the first. */
typedef struct carrier {
    const es_checker *checker;
    const earshot_opening *opening;
    bool found, fits;
    size_t piece;
    double off_m;
} carrier;

static bool better(const carrier *c, bool now_fits, double off, size_t piece)
{
    if (!c->found) return true;
    if (now_fits != c->fits) return now_fits;
    if (off != c->off_m) return off < c->off_m;
    return piece < c->piece;
}

static bool consider(void *context, size_t piece)
{
    carrier *c = context;
    const es_piece *p = &c->checker->piece[piece];
    const earshot_opening *o = c->opening;
    if (p->storey != o->storey) return true;
    const double off =
        fmax(es_segment_distance_m(p->a, p->b, o->a, NULL), es_segment_distance_m(p->a, p->b, o->b, NULL));
    if (off > ON_WALL_M + ROUNDING_M || !better(c, fits(o, p), off, piece)) return true;
    c->found = true;
    c->fits = fits(o, p);
    c->piece = piece;
    c->off_m = off;
    return true;
}

/* The wall nearest to a point. */
typedef struct search {
    const es_checker *checker;
    unsigned storey;
    earshot_point point;
    double distance_m;
    size_t piece;
} search;

static bool measure(void *context, size_t piece)
{
    search *s = context;
    const es_piece *p = &s->checker->piece[piece];
    if (p->storey != s->storey) return true;
    const double distance = es_segment_distance_m(p->a, p->b, s->point, NULL);
    if (distance < s->distance_m || (distance == s->distance_m && piece < s->piece)) {
        s->distance_m = distance;
        s->piece = piece;
    }
    return true;
}

/* A box of half width r holds all walls nearer than r: it grows until one is nearer than that. */
static search nearest_wall(const es_checker *checker, unsigned storey, earshot_point point)
{
    search s = {.checker = checker, .storey = storey, .point = point, .distance_m = INFINITY};
    for (double r = ON_WALL_M; r < 1e6 && s.distance_m > r; r *= 4) {
        es_box_tree_find(checker->piece_tree, es_box_around(point, point, r), measure, &s);
    }
    return s;
}

static void no_carrier(es_checker *checker, const earshot_opening *o)
{
    es_reader *reader = checker->reader;
    const search a = nearest_wall(checker, o->storey, o->a), b = nearest_wall(checker, o->storey, o->b);
    const bool first = a.distance_m > b.distance_m;
    const search *far = first ? &a : &b;
    if (isinf(far->distance_m)) {
        es_hint(es_invalid(reader, o->place, "a %s, but storey '%s' has no wall", noun(o),
                           checker->plan->storey[o->storey].name),
                "a door or window replaces part of a wall of its storey");
    } else if (far->distance_m > ON_WALL_M) {
        es_hint(es_invalid(reader, es_positional_place(reader, o->place, first ? 0 : 1),
                           "this end of the %s is %.3f m from the nearest wall", noun(o), far->distance_m),
                "both ends lie on a wall of its storey, within 5 cm; the nearest stands in line %u",
                checker->plan->wall[checker->piece[far->piece].wall].place.line);
    } else {
        es_hint(es_invalid(reader, o->place, "the ends of this %s lie on different straight pieces of wall", noun(o)),
                "a door or window lies within one straight piece; draw the wall as one piece, or two openings");
    }
}

static const char *limit_word(const es_checker *checker, const es_piece *p)
{
    return isnan(checker->plan->wall[p->wall].to_m) ? "the ceiling" : "the top of its wall";
}

/* It lies on a wall, but its heights do not fit there. */
static void heights_misfit(es_checker *checker, const earshot_opening *o, const es_piece *p)
{
    es_reader *reader = checker->reader;
    const double sill = sill_on(o, p), head = head_on(o, p);
    if (head > p->high_m + ROUNDING_M) {
        es_hint(es_invalid(reader, es_key_place(reader, o->place, "head"), "the head of this %s, %.4g m, is above %s",
                           noun(o), head, limit_word(checker, p)),
                "its wall ends at %.4g m above the floor", p->high_m);
    } else if (sill < p->low_m - ROUNDING_M) {
        es_hint(es_invalid(reader, es_key_place(reader, o->place, "sill"),
                           "the sill of this %s, %.4g m, is below the foot of its wall", noun(o), sill),
                "its wall begins at %.4g m above the floor", p->low_m);
    } else {
        es_hint(es_invalid(reader, es_key_place(reader, o->place, isnan(o->head_m) ? "sill" : "head"),
                           "the sill of this %s, %.4g m, is not below its head, %.4g m", noun(o), sill, head),
                "heights are above the floor: sill= is the lower edge, head= the upper");
    }
}

static double along_m(const es_piece *p, earshot_point point)
{
    double along;
    es_segment_distance_m(p->a, p->b, point, &along);
    return along * es_distance_m(p->a, p->b);
}

/* Fill what follows from the wall; false, reported, when the opening cannot be. */
static bool place_opening(es_checker *checker, size_t i, stand *out)
{
    earshot_opening *o = &checker->plan->opening[i];
    carrier c = {.checker = checker, .opening = o};
    es_box_tree_find(checker->piece_tree, es_box_around(o->a, o->b, ON_WALL_M * 1.01), consider, &c);
    if (!c.found) {
        no_carrier(checker, o);
        return false;
    }
    const es_piece *p = &checker->piece[c.piece];
    if (!c.fits) {
        heights_misfit(checker, o, p);
        return false;
    }
    o->sill_m = sill_on(o, p);
    o->head_m = head_on(o, p);
    o->wall = p->wall;
    o->piece = p->piece;
    const double a = along_m(p, o->a), b = along_m(p, o->b);
    *out = (stand){.piece = c.piece, .start_m = fmin(a, b), .end_m = fmax(a, b), .opening = i};
    if (out->end_m - out->start_m >= NARROWEST_M) return true;
    es_hint(es_invalid(checker->reader, o->place, "this %s has no width along its wall", noun(o)),
            "its two points are its two jambs");
    return false;
}

static int by_start(const void *a, const void *b)
{
    const stand *s = a, *t = b;
    if (s->piece != t->piece) return s->piece < t->piece ? -1 : 1;
    if (s->start_m != t->start_m) return s->start_m < t->start_m ? -1 : 1;
    return s->opening < t->opening ? -1 : s->opening > t->opening;
}

static bool share_heights(const earshot_opening *a, const earshot_opening *b)
{
    return fmin(a->head_m, b->head_m) - fmax(a->sill_m, b->sill_m) > SAME_M;
}

static void overlap(es_checker *checker, const stand *s, const stand *t)
{
    const earshot_opening *opening = checker->plan->opening;
    const bool ordered = s->opening < t->opening;
    const earshot_opening *first = &opening[ordered ? s->opening : t->opening];
    const earshot_opening *second = &opening[ordered ? t->opening : s->opening];
    es_hint(es_invalid(checker->reader, second->place, "this %s overlaps the %s of line %u by %.2f m", noun(second),
                       noun(first), first->place.line, fmin(s->end_m, t->end_m) - t->start_m),
            "one spot of a wall has one door or window");
}

static void check_overlaps(es_checker *checker, stand *s, size_t n)
{
    qsort(s, n, sizeof *s, by_start);
    for (size_t i = 0; i < n && !es_report_full(&checker->reader->report); i++) {
        for (size_t j = i + 1; j < n && s[j].piece == s[i].piece && s[j].start_m < s[i].end_m - SAME_M; j++) {
            const earshot_opening *opening = checker->plan->opening;
            if (!share_heights(&opening[s[i].opening], &opening[s[j].opening])) continue;
            overlap(checker, &s[i], &s[j]);
            break;
        }
    }
}

void es_check_openings(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    if (es_is_broken(checker, ES_LIST_WALL) || es_is_broken(checker, ES_LIST_STOREY)) return;
    stand *stands = calloc(plan->n_openings + 1, sizeof *stands);
    if (!stands) {
        checker->reader->memory_out = true;
        return;
    }
    size_t n = 0;
    for (size_t i = 0; i < plan->n_openings && !es_report_full(&checker->reader->report); i++) {
        if (place_opening(checker, i, &stands[n])) n++;
    }
    check_overlaps(checker, stands, n);
    free(stands);
}
