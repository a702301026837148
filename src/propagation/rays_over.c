/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Over and under: paths that pass a level edge (a sill, a head, the top or foot of a wall) of the walls on the straight
 * line of the ground plan. The edge carries the jump between what the panels above and below it let through, as an
 * upright edge does (rays_diffract.c). With E upright, H lies along the edge: the hard case. */
#include <math.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_over.h"

static const rays_climb LEVEL = {1.0, 0.0};

/* A leg in space between two points, or a point and an edge. */
typedef struct leg {
    rays_point from, to;
    double from_z, to_z;
} leg;

static double length_of(const leg *l)
{
    const rays_point level = rays_minus(l->to, l->from);
    return hypot(rays_length(level), l->to_z - l->from_z);
}

/* What stands and lies in the way of a leg, upright component; `own` is the wall that its edge belongs to. */
static double complex leg_product(const rays_over *o, const leg *l, const rays_ends *own)
{
    const rays_scene *scene = o->rays->scene;
    rays_tracer *tracer = &o->work->tracer;
    const double level_m = rays_length(rays_minus(l->to, l->from)), length_m = length_of(l);
    const rays_climb climb = {level_m / length_m, (l->to_z - l->from_z) / length_m};
    double bound = 1.0;
    double complex product = 1.0;
    tracer->hits.n = 0;
    if (!es_rays_trace_leg(scene, tracer, l->from, l->to, own, 0.0, 0.0, &bound)) return 0.0;
    for (size_t i = 0; i < tracer->hits.n; i++) {
        const rays_hit *hit = &tracer->hits.item[i];
        const double z_m = l->from_z + (l->to_z - l->from_z) * hit->at_m / level_m;
        const rays_table *table = es_rays_wall_at(scene, hit->wall, z_m);
        if (!table) continue;
        es_rays_note_pass(scene, o->work, table);
        product *= es_rays_wall_t(table, RAYS_UPRIGHT, hit->cosine, climb);
    }
    for (size_t f = 0; f < scene->n_floors; f++) {
        const rays_floor *floor = &scene->floor[f];
        const double share = (floor->z_m - l->from_z) / (l->to_z - l->from_z);
        if (!(share > 1e-6 && share < 1.0 - 1e-6)) continue;
        const rays_point p = {l->from.x + share * (l->to.x - l->from.x), l->from.y + share * (l->to.y - l->from.y)};
        if (!es_rays_floor_covers(floor, p)) continue;
        es_rays_note_pass(scene, o->work, &scene->table[floor->table]);
        product *= es_rays_t(&scene->table[floor->table], 1, fabs(climb.cosine));
    }
    return product;
}

bool es_rays_in_slab(const rays_scene *scene, rays_point p, double z_m, size_t except)
{
    for (size_t f = 0; f < scene->n_floors; f++) {
        const rays_floor *floor = &scene->floor[f];
        if (fabs(floor->z_m - z_m) < RAYS_IN_SLAB_M && floor->element != except && es_rays_floor_covers(floor, p))
            return true;
    }
    return false;
}

/* ---- the edge of a panel ---- */

/* Equal angles: where the way, unfolded about the edge, is straight. */
static bool find_keller(const rays_over *o, rays_level_edge *e)
{
    const rays_wall *w = &o->rays->scene->wall[e->wall];
    const rays_point s = rays_minus(o->source, w->a), p = rays_minus(o->point, w->a);
    e->in_height = fabs(rays_cross(w->along, s));
    e->out_height = fabs(rays_cross(w->along, p));
    e->in_m = hypot(e->in_height, o->source_z - e->z_m);
    e->out_m = hypot(e->out_height, o->point_z - e->z_m);
    if (e->in_m < RAYS_NEAREST_EDGE_M || e->out_m < RAYS_NEAREST_EDGE_M) return false;
    const double from = rays_dot(w->along, s), to = rays_dot(w->along, p);
    const double at = from + (to - from) * e->in_m / (e->in_m + e->out_m);
    if (at < 0.0 || at > w->length_m) return false;
    e->at = (rays_point){w->a.x + at * w->along.x, w->a.y + at * w->along.y};
    e->sine = (e->in_m + e->out_m) / hypot(e->in_m + e->out_m, to - from);
    return true;
}

static double complex t_of(const rays_table *table, double cosine, rays_climb climb)
{
    return table ? es_rays_wall_t(table, RAYS_UPRIGHT, cosine, climb) : 1.0;
}

static double complex r_of(const rays_table *table, double cosine, rays_climb climb)
{
    return table ? es_rays_wall_r(table, RAYS_UPRIGHT, cosine, climb) : 0.0;
}

/* Jump and reflection weight for a ray to one end, at this level distance and height over the edge. */
static void weigh(const rays_level_edge *e, double height, double across_m, double rise, double complex *jump,
                  double complex *mirror)
{
    const double length_m = across_m / e->sine, climb = rise / length_m;
    const rays_climb ray = {sqrt(fmax(0.0, 1.0 - climb * climb)), climb};
    const double cosine = ray.sine > 0.0 ? fmin(1.0, height / (length_m * ray.sine)) : 0.0;
    *jump = t_of(e->above, cosine, ray) - t_of(e->below, cosine, ray);
    /* Of H, which turns round where E does not: the stronger panel less the weaker, its background. */
    const double complex below = r_of(e->below, cosine, ray), above = r_of(e->above, cosine, ray);
    *mirror = e->strong_below ? above - below : below - above;
}

static double complex edge_diffraction(const rays_over *o, const rays_level_edge *e, double l_m)
{
    const rays_scene *scene = o->rays->scene;
    const double in_rise = o->source_z - e->z_m, out_rise = o->point_z - e->z_m;
    double complex jump_in, jump_out, mirror_in, mirror_out;
    weigh(e, e->in_height, e->in_m, in_rise, &jump_in, &mirror_in);
    weigh(e, e->out_height, e->out_m, out_rise, &jump_out, &mirror_out);
    /* From the edge: the source to the right, the point to the left, counter-clockwise over the top. */
    const double in = atan2(in_rise, e->in_height), out = ES_PI - atan2(out_rise, e->out_height);
    const double shadow = cos((out - in) / 2.0), mirrored = cos((out + in + ES_PI) / 2.0);
    const rays_scale scale = {scene->k, l_m, RAYS_LEVEL};
    return es_rays_boundary(scene, shadow, scale) * 0.5 * (jump_in + jump_out) / e->sine +
           es_rays_boundary(scene, mirrored, scale) * 0.5 * (mirror_in + mirror_out) / e->sine;
}

static void add(const rays_over *o, const rays_turn *turn, double complex amplitude, size_t first_pass)
{
    struct es_rays_work *work = o->work;
    const rays_point way = rays_minus(o->point, turn->at);
    const double leg_m = hypot(rays_length(way), o->point_z - turn->z_m);
    void *items = work->risen;
    const double size = rays_size(amplitude);
    if (!(size > 0.0)) return;
    if (!es_grow(&items, &work->risen_room, work->n_risen, sizeof *work->risen)) {
        work->no_memory = true;
        return;
    }
    work->risen = items;
    work->risen[work->n_risen++] = (rays_path){.amplitude = amplitude,
                                               .ux = way.x / leg_m,
                                               .uy = way.y / leg_m,
                                               .length_m = turn->length_m,
                                               .edge = RAYS_NONE,
                                               .wave = RAYS_NONE,
                                               .candidate = RAYS_NONE,
                                               .over_element = turn->element,
                                               .over_at = turn->at,
                                               .over_z = turn->z_m,
                                               .first_pass = first_pass,
                                               .n_passes = work->n_passed - first_pass};
    work->strongest = fmax(work->strongest, size);
}

/* Antennas at both ends of legs that leave and arrive so. */
static double patterns(const leg *in, const leg *out, es_rays_antennas antennas)
{
    double sent[2], taken[2];
    const rays_point a = rays_minus(in->to, in->from), b = rays_minus(out->to, out->from);
    const rays_climb up = {rays_length(a) / length_of(in), (in->to_z - in->from_z) / length_of(in)};
    const rays_climb down = {rays_length(b) / length_of(out), (out->to_z - out->from_z) / length_of(out)};
    es_rays_pattern(antennas.source, atan2(a.y, a.x), up, sent);
    es_rays_pattern(antennas.point, atan2(b.y, b.x), down, taken);
    return sent[RAYS_UPRIGHT] * taken[RAYS_UPRIGHT];
}

void es_rays_turn_at(const rays_over *o, const rays_turn *turn, double complex d)
{
    const leg in = {o->source, turn->at, o->source_z, turn->z_m}, out = {turn->at, o->point, turn->z_m, o->point_z};
    const double gain = patterns(&in, &out, o->antennas);
    if (rays_size(d) * fabs(gain) < o->work->strongest * o->rays->weakest) return;
    const rays_ends own = {.wall = {RAYS_NONE, turn->wall}};
    const size_t first_pass = o->work->n_passed;
    const double complex product = leg_product(o, &in, &own) * leg_product(o, &out, &own);
    add(o, turn, gain * d * product * cexp(-I * (o->rays->scene->k * turn->length_m)), first_pass);
}

void es_rays_pass_level_edge(const rays_over *o, rays_level_edge *e)
{
    e->strong_below = rays_size(r_of(e->below, 1.0, LEVEL)) >= rays_size(r_of(e->above, 1.0, LEVEL));
    const double s1 = e->in_m / e->sine, s2 = e->out_m / e->sine;
    const double l_m = s1 * s2 * e->sine * e->sine / (s1 + s2);
    double complex d = edge_diffraction(o, e, l_m) / sqrt(s1 * s2 * (s1 + s2));
    if (rays_size(d) > e->most) d *= e->most / rays_size(d);
    const rays_scene *scene = o->rays->scene;
    const size_t element = scene->band[scene->wall[e->wall].first_band].element;
    const rays_turn turn = {e->at, e->z_m, s1 + s2, e->wall, element};
    es_rays_turn_at(o, &turn, d);
}

static void pass_edge(const rays_over *o, rays_level_edge *e)
{
    if (e->above == e->below || !find_keller(o, e)) return;
    if (!es_rays_in_slab(o->rays->scene, e->at, e->z_m, SIZE_MAX)) es_rays_pass_level_edge(o, e);
}

/* Edges where one panel of a stack ends or another begins. */
static void pass_stack(const rays_over *o, uint32_t wall)
{
    const rays_scene *scene = o->rays->scene;
    const rays_wall *w = &scene->wall[wall];
    const rays_band *band = &scene->band[w->first_band];
    for (uint32_t i = 0; i < w->n_bands; i++) {
        const bool joined = i + 1 < w->n_bands && band[i + 1].z0 - band[i].z1 < 1e-6;
        const rays_table *own = &scene->table[band[i].table];
        rays_level_edge top = {.wall = wall, .z_m = band[i].z1, .below = own, .most = INFINITY};
        if (joined) top.above = &scene->table[band[i + 1].table];
        pass_edge(o, &top);
        if (i > 0 && band[i].z0 - band[i - 1].z1 < 1e-6) continue; /* done from below */
        rays_level_edge bottom = {.wall = wall, .z_m = band[i].z0, .above = own, .most = INFINITY};
        pass_edge(o, &bottom);
    }
}

/* The walls and blocks on the straight line of the ground plan, whatever they let through: work->met. Legs traced later
 * use the tracer's own room. */
static bool find_met(const rays_over *o)
{
    struct es_rays_work *work = o->work;
    const rays_scene *scene = o->rays->scene;
    const rays_ends nowhere = {.wall = {RAYS_NONE, RAYS_NONE}};
    double bound = 1.0;
    work->tracer.hits.n = work->met.n = 0;
    if (!es_rays_trace_leg(scene, &work->tracer, o->source, o->point, &nowhere, 0.0, 0.0, &bound)) return false;
    for (size_t i = 0; i < work->tracer.hits.n; i++) {
        void *items = work->met.item;
        if (work->tracer.hits.item[i].wall >= scene->n_sheets + scene->n_solids) continue;
        if (!es_grow(&items, &work->met.room, work->met.n, sizeof *work->met.item)) {
            work->no_memory = true;
            return false;
        }
        work->met.item = items;
        work->met.item[work->met.n++] = work->tracer.hits.item[i];
    }
    return true;
}

void es_rays_over(const struct es_rays *rays, struct es_rays_work *work, rays_point p, double z_m,
                  es_rays_antennas antennas)
{
    const rays_over o = {rays, work, rays->source, p, rays->source_z, z_m, antennas};
    if (find_met(&o)) {
        for (size_t i = 0; i < work->met.n; i++)
            if (work->met.item[i].wall < rays->scene->n_sheets) pass_stack(&o, work->met.item[i].wall);
        es_rays_over_blocks(&o, work->met.item, work->met.n);
        es_rays_past_rims(&o);
    }
    if (work->tracer.no_memory)
        work->no_memory = true; /* a leg that could not be traced looks like one that is closed */
}
