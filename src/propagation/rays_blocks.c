/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Over the top and under the bottom of conducting blocks. In the upright plane through both ends a block is an obstacle
 * with two edges. A string pulled tight over it leaves each end at some slope; where the two straight parts of the
 * string, prolonged, meet, a conducting screen is taken to end (Bullington's construction, ITU-R P.526-15 section
 * 4.5.1, from memory). It holds for thin blocks and has no steps where an edge comes into sight; behind thick blocks it
 * says too much, so that what passes two edges by Keller's coefficients is the most it may say. */
#include <math.h>

#include "base/units.h"
#include "propagation/rays_over.h"

/* So far above the edges that what runs along a block's top does not meet it. */
static const double CLEAR_M = 1e-5;

/* One block on the line, heights counted up for its top and down for its bottom. */
typedef struct obstacle {
    const rays_band *band;
    uint32_t wall;
    double from_m, to_m; /* along the line */
    double top, low;
    double in_slope, out_slope; /* of the string from either end */
} obstacle;

/* The upright plane: the ends' heights, counted like those of the obstacles. */
typedef struct upright {
    double source, point, length_m;
    double sign;
} upright;

static bool same_block(const rays_band *p, const rays_band *q)
{
    return p->element == q->element && p->z0 == q->z0 && p->z1 == q->z1;
}

static const rays_band *band_of(const rays_over *o, const rays_hit *hit)
{
    const rays_scene *scene = o->rays->scene;
    const bool solid = hit->wall >= scene->n_sheets && hit->wall < scene->n_sheets + scene->n_solids;
    return solid ? &scene->band[scene->wall[hit->wall].first_band] : NULL;
}

static double steepest(const obstacle *b, double height, double near_m, double far_m)
{
    const double rise = b->top - height;
    return fmax(rise / fmax(near_m, RAYS_NEAREST_EDGE_M), rise / fmax(far_m, RAYS_NEAREST_EDGE_M));
}

/* The block whose face is hit first among those that belong to it; false if hit i is not that one. */
static bool find_obstacle(const rays_over *o, const upright *u, const rays_hit *hit, size_t n, size_t i, obstacle *b)
{
    const rays_band *band = band_of(o, &hit[i]);
    if (!band) return false;
    *b = (obstacle){.band = band, .wall = hit[i].wall, .from_m = hit[i].at_m, .to_m = hit[i].at_m};
    for (size_t j = 0; j < n; j++) {
        const rays_band *other = band_of(o, &hit[j]);
        if (!other || !same_block(band, other)) continue;
        if (j < i) return false;
        b->from_m = fmin(b->from_m, hit[j].at_m);
        b->to_m = fmax(b->to_m, hit[j].at_m);
    }
    b->top = u->sign > 0.0 ? band->z1 : -band->z0;
    b->low = u->sign > 0.0 ? band->z0 : -band->z1;
    b->in_slope = steepest(b, u->source, b->from_m, b->to_m);
    b->out_slope = steepest(b, u->point, u->length_m - b->to_m, u->length_m - b->from_m);
    return true;
}

/* Where the two parts of the string meet. */
static double meeting_m(const upright *u, double in_slope, double out_slope)
{
    return (u->point - u->source + out_slope * u->length_m) / (in_slope + out_slope);
}

static double string_height(const upright *u, double in_slope, double out_slope, double at_m)
{
    return fmin(u->source + in_slope * at_m, u->point + out_slope * (u->length_m - at_m));
}

static bool is_in_way(const upright *u, const obstacle *b, double in_slope, double out_slope)
{
    const double at_from = string_height(u, in_slope, out_slope, b->from_m);
    const double at_to = string_height(u, in_slope, out_slope, b->to_m);
    return fmin(at_from, at_to) < b->top && fmax(at_from, at_to) > b->low;
}

/* Lift the string over every other block that it meets; it starts over block b. */
static void pull_string(const rays_over *o, const upright *u, const rays_hit *hit, size_t n, const obstacle *b,
                        double *in_slope, double *out_slope)
{
    *in_slope = b->in_slope;
    *out_slope = b->out_slope;
    for (bool lifted = true; lifted;) {
        lifted = false;
        for (size_t i = 0; i < n; i++) {
            obstacle other;
            if (!find_obstacle(o, u, hit, n, i, &other) || !is_in_way(u, &other, *in_slope, *out_slope)) continue;
            if (other.in_slope <= *in_slope && other.out_slope <= *out_slope) continue;
            *in_slope = fmax(*in_slope, other.in_slope);
            *out_slope = fmax(*out_slope, other.out_slope);
            lifted = true;
        }
    }
}

/* A block out of the line's way counts by the edge that comes nearest to it in Fresnel's measure, v^2 ~ h^2 D / (x (D -
 * x)). */
static double nearest_edge_m(const upright *u, const obstacle *b)
{
    const double x[2] = {b->from_m, b->to_m};
    double v[2];
    for (int i = 0; i < 2; i++) {
        const double share = x[i] / u->length_m, h = u->source + share * (u->point - u->source) - b->top;
        v[i] = h / sqrt(fmax(share * (1.0 - share), 1e-12));
    }
    return v[0] <= v[1] ? x[0] : x[1];
}

static bool is_in_slab(const rays_over *o, const upright *u, const obstacle *b)
{
    const rays_point way = rays_minus(o->point, o->source);
    for (int i = 0; i < 2; i++) {
        const double share = (i ? b->to_m : b->from_m) / u->length_m;
        const rays_point p = {o->source.x + share * way.x, o->source.y + share * way.y};
        if (es_rays_in_slab(o->rays->scene, p, u->sign * b->top, b->band->element)) return true;
    }
    return false;
}

/* Keller's coefficient of a conducting edge of 90 degrees, for a wave that runs along the top and leaves it downwards
 * at this slope, H along the edge. Both pairs of terms in equation (25) of Kouyoumjian and Pathak are the same there.
 */
static double along_top(double k, double slope)
{
    const double n = 1.5, angle = ES_PI + atan(slope);
    const double sum = 1.0 / tan((ES_PI + angle) / (2.0 * n)) + 1.0 / tan((ES_PI - angle) / (2.0 * n));
    return fabs(sum) / (n * sqrt(2.0 * ES_PI * k));
}

/* What passes both edges of the block, over 1 / m: along the metal the wave is half of what leaves the first edge, the
 * other half being its mirror image. Without end where an end comes into sight of the other edge. */
static double most_over(const rays_over *o, const upright *u, const obstacle *b)
{
    const double width_m = b->to_m - b->from_m, rest_m = u->length_m - b->to_m;
    if (!(b->in_slope > 0.0 && b->out_slope > 0.0 && width_m > 0.0)) return INFINITY;
    const double in_m = hypot(b->from_m, b->top - u->source), out_m = hypot(rest_m, b->top - u->point);
    const double k = o->rays->scene->k, whole_m = in_m + width_m + out_m;
    return 0.5 * along_top(k, b->in_slope) * along_top(k, b->out_slope) / sqrt(in_m * width_m * out_m * whole_m);
}

static void pass(const rays_over *o, const upright *u, const obstacle *b, double at_m, double height, double most)
{
    const rays_scene *scene = o->rays->scene;
    const rays_point way = rays_minus(o->point, o->source);
    const double share = at_m / u->length_m, z_m = u->sign * (height + CLEAR_M);
    rays_level_edge e = {.wall = b->wall,
                         .z_m = z_m,
                         .at = {o->source.x + share * way.x, o->source.y + share * way.y},
                         .in_m = hypot(at_m, o->source_z - z_m),
                         .out_m = hypot(u->length_m - at_m, o->point_z - z_m),
                         .in_height = at_m,
                         .out_height = u->length_m - at_m,
                         .sine = 1.0,
                         .most = most};
    *(u->sign > 0.0 ? &e.below : &e.above) = &scene->table[b->band->table];
    if (e.in_m > RAYS_NEAREST_EDGE_M && e.out_m > RAYS_NEAREST_EDGE_M) es_rays_pass_level_edge(o, &e);
}

static void pass_block(const rays_over *o, const upright *u, const rays_hit *hit, size_t n, const obstacle *b)
{
    double in_slope, out_slope;
    if (is_in_slab(o, u, b)) return;
    if (b->in_slope + b->out_slope <= 0.0) {
        pass(o, u, b, nearest_edge_m(u, b), b->top, INFINITY);
        return;
    }
    pull_string(o, u, hit, n, b, &in_slope, &out_slope);
    if (in_slope > b->in_slope) return; /* the block that lifts it there leads it */
    const double most = out_slope > b->out_slope ? INFINITY : most_over(o, u, b);
    const double at_m = fmin(fmax(meeting_m(u, in_slope, out_slope), 0.0), u->length_m);
    pass(o, u, b, at_m, string_height(u, in_slope, out_slope, at_m), most);
}

void es_rays_over_blocks(const rays_over *o, const rays_hit *hit, size_t n)
{
    const double length_m = rays_length(rays_minus(o->point, o->source));
    for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
        const upright u = {sign * o->source_z, sign * o->point_z, length_m, sign};
        for (size_t i = 0; i < n; i++) {
            obstacle b;
            if (find_obstacle(o, &u, hit, n, i, &b)) pass_block(o, &u, hit, n, &b);
        }
    }
}
