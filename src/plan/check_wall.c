/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How walls lie to each other and to what is fixed to them: slips of drawing that change the result silently. */
#include <math.h>
#include <string.h>

#include "geometry/geometry.h"
#include "plan/check.h"

#define JOINED_M 0.002 /* nearer than this, walls meet */
#define GAP_M 0.1      /* farther than this, a gap is meant */
#define AHEAD 0.5      /* cosine: a gap lies within 60 degrees of the way the wall goes */
#define BESIDE_M 0.01  /* walls nearer than this to one line lie on it; so does a device */
#define PARALLEL 0.01  /* sine of the angle between walls on one line */
#define SHORT_OVERLAP_M 0.05
#define ROUNDING_M 1e-9

static bool share_heights(const es_piece *p, const es_piece *q)
{
    return fmin(p->high_m, q->high_m) - fmax(p->low_m, q->low_m) > ROUNDING_M;
}

/* Unit vector along a piece. */
static earshot_point direction(earshot_point from, earshot_point to)
{
    const double length = es_distance_m(from, to);
    return (earshot_point){(to.x_m - from.x_m) / length, (to.y_m - from.y_m) / length};
}

/* One end of a wall, and the nearest other wall that it points at. */
typedef struct wall_end {
    const es_checker *checker;
    size_t piece; /* the piece it is the end of */
    earshot_point end, outward;
    bool joined;
    double gap_m;
    size_t other;
} wall_end;

static bool measure_gap(void *context, size_t other)
{
    wall_end *w = context;
    const es_piece *own = &w->checker->piece[w->piece], *p = &w->checker->piece[other];
    if (other == w->piece || p->storey != own->storey || !share_heights(own, p)) return true;
    double along;
    const double distance = es_segment_distance_m(p->a, p->b, w->end, &along);
    if (distance <= JOINED_M) {
        w->joined = true;
        return false;
    }
    const double vx = p->a.x_m + along * (p->b.x_m - p->a.x_m) - w->end.x_m;
    const double vy = p->a.y_m + along * (p->b.y_m - p->a.y_m) - w->end.y_m;
    const bool ahead = vx * w->outward.x_m + vy * w->outward.y_m >= AHEAD * distance;
    if (!ahead || distance > GAP_M) return true;
    if (distance < w->gap_m || (distance == w->gap_m && other < w->other)) {
        w->gap_m = distance;
        w->other = other;
    }
    return true;
}

static void warn_gap(es_checker *checker, size_t piece, bool at_start)
{
    const es_piece *p = &checker->piece[piece];
    const earshot_point end = at_start ? p->a : p->b;
    wall_end w = {.checker = checker,
                  .piece = piece,
                  .end = end,
                  .outward = direction(at_start ? p->b : p->a, end),
                  .gap_m = INFINITY};
    es_box_tree_find(checker->piece_tree, es_box_around(end, end, GAP_M), measure_gap, &w);
    if (w.joined || isinf(w.gap_m)) return;
    es_reader *reader = checker->reader;
    const earshot_place place = checker->plan->wall[p->wall].place;
    const unsigned line = checker->plan->wall[checker->piece[w.other].wall].place.line;
    es_hint(es_warning(&reader->report, es_positional_place(reader, place, at_start ? 1 : p->piece + 2),
                       "this wall ends %.1f cm short of the wall of line %u", w.gap_m * 100, line),
            "radio passes through a gap; if there is none, let the walls meet");
}

/* Whether a wall lies on an earlier one. */
typedef struct twin {
    const es_checker *checker;
    size_t piece;
    double shared_m;
    size_t other;
} twin;

/* Length that two pieces on one line have in common; 0 if they are not on one line. */
static double shared_length(const es_piece *p, const es_piece *q)
{
    const earshot_point u = direction(p->a, p->b), v = direction(q->a, q->b);
    if (fabs(u.x_m * v.y_m - u.y_m * v.x_m) > PARALLEL) return 0;
    const double ax = q->a.x_m - p->a.x_m, ay = q->a.y_m - p->a.y_m;
    const double bx = q->b.x_m - p->a.x_m, by = q->b.y_m - p->a.y_m;
    if (fabs(u.x_m * ay - u.y_m * ax) > BESIDE_M || fabs(u.x_m * by - u.y_m * bx) > BESIDE_M) return 0;
    const double s = u.x_m * ax + u.y_m * ay, t = u.x_m * bx + u.y_m * by;
    return fmin(fmax(s, t), es_distance_m(p->a, p->b)) - fmax(fmin(s, t), 0);
}

static bool compare(void *context, size_t other)
{
    twin *t = context;
    const es_piece *p = &t->checker->piece[t->piece], *q = &t->checker->piece[other];
    if (other >= t->piece || p->storey != q->storey || !share_heights(p, q)) return true;
    const double shared = shared_length(p, q);
    if (shared < SHORT_OVERLAP_M) return true;
    t->shared_m = shared;
    t->other = other;
    return false;
}

static void warn_twin(es_checker *checker, size_t piece)
{
    const es_piece *p = &checker->piece[piece];
    twin t = {.checker = checker, .piece = piece};
    es_box_tree_find(checker->piece_tree, es_box_around(p->a, p->b, BESIDE_M), compare, &t);
    if (t.shared_m == 0) return;
    es_reader *reader = checker->reader;
    const earshot_wall *wall = checker->plan->wall;
    es_hint(es_warning(&reader->report, es_positional_place(reader, wall[p->wall].place, p->piece + 1),
                       "%.2f m of this wall lie on the wall of line %u", t.shared_m,
                       wall[checker->piece[t.other].wall].place.line),
            "what is drawn twice may count twice; leave one out");
}

static bool is_closed(const earshot_wall *w)
{
    return es_distance_m(w->point[0], w->point[w->n_points - 1]) <= JOINED_M;
}

static void warn_piece(es_checker *checker, size_t piece)
{
    const es_piece *p = &checker->piece[piece];
    const earshot_wall *w = &checker->plan->wall[p->wall];
    if (p->piece == 0 && !is_closed(w)) warn_gap(checker, piece, true);
    if (p->piece + 2 == w->n_points && !is_closed(w)) warn_gap(checker, piece, false);
    warn_twin(checker, piece);
}

/* A post on a wall's centre line. */
typedef struct on_line {
    const es_checker *checker;
    const es_post *post;
    bool found;
    size_t piece;
} on_line;

static bool look(void *context, size_t piece)
{
    on_line *l = context;
    const es_piece *p = &l->checker->piece[piece];
    const es_post *post = l->post;
    if (p->storey != post->storey) return true;
    if (post->at_m < p->low_m - ROUNDING_M || post->at_m > p->high_m + ROUNDING_M) return true;
    if (es_segment_distance_m(p->a, p->b, post->point, NULL) > BESIDE_M) return true;
    if (!l->found || piece < l->piece) l->piece = piece;
    l->found = true;
    return true;
}

static void warn_on_line(es_checker *checker, const es_post *post)
{
    on_line l = {.checker = checker, .post = post};
    es_box_tree_find(checker->piece_tree, es_box_around(post->point, post->point, BESIDE_M), look, &l);
    if (!l.found) return;
    es_reader *reader = checker->reader;
    es_hint(es_warning(&reader->report, es_positional_place(reader, post->place, post->point_field),
                       "%s '%s' stands on the centre line of the wall of line %u", post->noun, post->name,
                       checker->plan->wall[checker->piece[l.piece].wall].place.line),
            "move it to the side that it is fixed to; on the line its radio is taken as not crossing that wall");
}

void es_warn_walls(es_checker *checker)
{
    const es_report *report = &checker->reader->report;
    for (size_t i = 0; i < checker->n_posts && !es_report_warned(report); i++) warn_on_line(checker, &checker->post[i]);
    for (size_t i = 0; i < checker->n_pieces && !es_report_warned(report); i++) warn_piece(checker, i);
}
