/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The most that the waves at an edge can send on, by direction: the bound of es_rays_diffract_bound() over all waves
 * and a sector of directions at once, so that most edges need no closer look. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "propagation/rays_inner.h"

#define SECTOR_RAD (2.0 * ES_PI / RAYS_SECTORS)

/* What an edge's arms do is looked at where sectors meet and along the line of each arm, where it changes most, and
 * doubted by this factor in between. */
static const double BETWEEN = 1.25;

/* Heights this far above the end of a band are in the next. */
static const double NEXT_BAND_M = 1e-6;

/* Edges that have more boundaries, or look different at more heights, are looked at closely always. */
enum { MOST_BOUNDARIES = 16, MOST_LOOKS = 16 };

/* A direction about which the field changes. */
typedef struct boundary {
    uint32_t sector;
    double in_weight; /* half of the jump that the incoming side sees there */
} boundary;

typedef struct survey {
    struct es_rays *rays;
    const rays_edge *edge;
    rays_views views;
    /* Bound of |H| for a jump of 1 from sector i to the boundary's j, at i - j + RAYS_SECTORS. */
    double steep[2 * RAYS_SECTORS];
    double out_weight[MOST_BOUNDARIES][RAYS_SECTORS]; /* half of the largest jump that the outgoing side sees */
    size_t n_boundaries;
    double look_z[MOST_LOOKS];
    size_t n_looks;
} survey;

/* |H| falls with the sine of half the angle to its boundary; each may lie anywhere in its sector. */
static void set_steep(survey *s)
{
    const double keller = 0.5 / sqrt(2.0 * ES_PI * s->rays->scene->k);
    for (uint32_t i = 0; i < 2 * RAYS_SECTORS; i++) {
        const uint32_t way = i % RAYS_SECTORS, apart = way < RAYS_SECTORS - way ? way : RAYS_SECTORS - way;
        s->steep[i] = apart > 1 ? keller / sin(0.5 * SECTOR_RAD * (apart - 1)) : INFINITY;
    }
}

/* ---- the edge as it looks from the other end of a way ---- */

static bool looks_alike(const rays_scene *scene, const rays_edge *edge, double z_m, double other_z)
{
    for (uint32_t i = 0; i < edge->n_arms; i++) {
        const uint32_t wall = scene->arm[edge->first_arm + i].wall;
        if (es_rays_wall_at(scene, wall, z_m) != es_rays_wall_at(scene, wall, other_z)) return false;
    }
    return true;
}

/* False when there are too many. */
static bool add_look(survey *s, double z_m)
{
    for (size_t i = 0; i < s->n_looks; i++)
        if (looks_alike(s->rays->scene, s->edge, z_m, s->look_z[i])) return true;
    if (s->n_looks == MOST_LOOKS) return false;
    s->look_z[s->n_looks++] = z_m;
    return true;
}

/* One height for each set of things that stand on the edge's arms together. */
static bool find_looks(survey *s)
{
    const rays_scene *scene = s->rays->scene;
    s->n_looks = 0;
    for (uint32_t i = 0; i < s->edge->n_arms; i++) {
        const rays_wall *wall = &scene->wall[scene->arm[s->edge->first_arm + i].wall];
        for (uint32_t b = wall->first_band; b < wall->first_band + wall->n_bands; b++) {
            const rays_band *band = &scene->band[b];
            if (!add_look(s, band->z0) || !add_look(s, band->z0 + NEXT_BAND_M)) return false;
            if (!add_look(s, band->z1) || !add_look(s, band->z1 + NEXT_BAND_M)) return false;
        }
    }
    return true;
}

static void note(survey *s, size_t b, uint32_t sector, double jump)
{
    double *weight = &s->out_weight[b][sector];
    *weight = fmax(*weight, 0.5 * BETWEEN * jump);
}

/* Note what is seen at an angle in two sectors (which may be the same). */
static bool look_at(survey *s, double z_m, double angle_rad, uint32_t one, uint32_t other)
{
    const rays_meet level = {z_m, {1.0, 0.0}, RAYS_UPRIGHT};
    rays_side side;
    s->views.n = 0;
    if (!es_rays_side_at(s->rays->scene, s->edge, angle_rad, level, &s->views, &side)) return false;
    es_rays_bound_jump(s->rays->scene, s->edge, &s->views, &side);
    note(s, 0, one, side.jump_bound);
    note(s, 0, other, side.jump_bound);
    for (uint32_t i = 0; i < s->edge->n_terms; i++) {
        const double jump = rays_most(s->views.item[s->edge->n_arms + i].weight);
        note(s, 1 + i, one, jump);
        note(s, 1 + i, other, jump);
    }
    return true;
}

static bool look_along(survey *s, double z_m, double angle_rad)
{
    const uint32_t sector = rays_sector(angle_rad);
    return look_at(s, z_m, angle_rad, sector, sector);
}

static bool look(survey *s, double z_m)
{
    for (uint32_t i = 0; i < RAYS_SECTORS; i++)
        if (!look_at(s, z_m, i * SECTOR_RAD, i, (i + RAYS_SECTORS - 1) % RAYS_SECTORS)) return false;
    for (uint32_t i = 0; i < s->edge->n_arms; i++) {
        const double arm_rad = s->rays->scene->arm[s->edge->first_arm + i].angle_rad;
        if (!look_along(s, z_m, arm_rad) || !look_along(s, z_m, arm_rad + ES_PI)) return false;
    }
    return true;
}

/* False when memory is out. n_boundaries is 0 for an edge that cannot be surveyed. */
static bool take_edge(survey *s, const rays_edge *edge)
{
    s->edge = edge;
    s->n_boundaries = edge->wedge ? 4 : 1 + edge->n_terms;
    if (s->n_boundaries > MOST_BOUNDARIES || (!edge->wedge && !find_looks(s))) s->n_boundaries = 0;
    for (size_t b = 0; b < s->n_boundaries; b++)
        for (size_t i = 0; i < RAYS_SECTORS; i++) s->out_weight[b][i] = edge->wedge ? 0.5 : 0.0;
    for (size_t i = 0; i < s->n_looks && s->n_boundaries && !edge->wedge; i++)
        if (!look(s, s->look_z[i])) return false;
    return true;
}

/* ---- the waves that arrive at it ---- */

static double arm_angle(const survey *s, uint32_t arm)
{
    return s->rays->scene->arm[s->edge->first_arm + arm].angle_rad;
}

/* A mirrored ray leaves at this angle. */
static uint32_t mirrored_sector(double face_rad, double in_rad)
{
    return rays_sector(2.0 * face_rad + ES_PI - in_rad);
}

static void find_boundaries(const survey *s, const rays_wave *wave, boundary *found)
{
    const rays_view *view = &s->rays->views.item[wave->side.first_view];
    const double in = wave->side.angle_rad;
    found[0] = (boundary){rays_sector(in + ES_PI), 0.5 * wave->side.jump_bound};
    for (uint32_t i = 0; i < s->edge->n_terms; i++) {
        const rays_term *term = &s->rays->scene->term[s->edge->first_term + i];
        found[1 + i] =
            (boundary){mirrored_sector(arm_angle(s, term->arm), in), 0.5 * rays_most(view[s->edge->n_arms + i].weight)};
    }
}

/* Both faces of a block throw a shadow and a reflection. */
static void find_wedge_boundaries(const survey *s, const rays_wave *wave, boundary *found)
{
    const double in = wave->side.angle_rad, face = arm_angle(s, 0);
    const uint32_t sector[] = {rays_sector(in + ES_PI), rays_sector(in + ES_PI), mirrored_sector(face, in),
                               mirrored_sector(face + s->edge->wedge_n * ES_PI - ES_PI, in)};
    for (size_t i = 0; i < 4; i++) found[i] = (boundary){sector[i], 0.5};
}

static void add_wave(const survey *s, const rays_wave *wave, float *most)
{
    boundary at[MOST_BOUNDARIES];
    double sum[RAYS_SECTORS] = {0.0};
    if (s->edge->wedge)
        find_wedge_boundaries(s, wave, at);
    else
        find_boundaries(s, wave, at);
    for (size_t b = 0; b < s->n_boundaries; b++) {
        const double *steep = &s->steep[RAYS_SECTORS - at[b].sector];
        for (size_t i = 0; i < RAYS_SECTORS; i++)
            sum[i] += (at[b].in_weight + s->out_weight[b][i]) * rays_least(steep[i], 0.5 * wave->root_m);
    }
    for (size_t i = 0; i < RAYS_SECTORS; i++) {
        const float size = (float)(1.0001 * wave->size * sum[i]); /* no rounding down */
        if (size > most[i]) most[i] = size;
    }
}

static void give_up(float *most)
{
    for (size_t i = 0; i < RAYS_SECTORS; i++) most[i] = INFINITY;
}

static void add_waves(const survey *s, const rays_waves *waves, size_t e, float *most)
{
    for (size_t w = waves->first[e]; w < waves->first[e + 1]; w++) {
        if (!s->n_boundaries || waves->item[w].slope_face != RAYS_NONE) {
            give_up(most);
            return;
        }
        add_wave(s, &waves->item[w], most);
    }
}

bool es_rays_outlook_fill(struct es_rays *rays, unsigned edges)
{
    const rays_scene *scene = rays->scene;
    const rays_waves *waves = &rays->waves[edges - 1];
    survey *s = calloc(1, sizeof *s);
    float *most = calloc(scene->n_edges + 1, RAYS_SECTORS * sizeof *most);
    bool done = s && most;
    rays->outlook[edges - 1] = most;
    if (done) {
        s->rays = rays;
        set_steep(s);
    }
    for (size_t e = 0; done && e < scene->n_edges; e++) {
        if (waves->first[e] == waves->first[e + 1]) continue;
        done = take_edge(s, &scene->edge[e]);
        if (done) add_waves(s, waves, e, &most[e * RAYS_SECTORS]);
    }
    if (s) free(s->views.item);
    free(s);
    return done;
}

double es_rays_outlook(const struct es_rays *rays, unsigned edges, size_t edge, double angle_rad)
{
    if (!rays->outlook[edges - 1]) return 0.0;
    return (double)rays->outlook[edges - 1][edge * RAYS_SECTORS + rays_sector(angle_rad)];
}

void es_rays_outlook_of_all(const struct es_rays *rays, size_t edge, float *most)
{
    for (size_t i = 0; i < RAYS_SECTORS; i++) {
        most[i] = 0.0f;
        for (size_t n = 0; n < RAYS_MOST_EDGES && rays->outlook[n]; n++)
            most[i] = fmaxf(most[i], rays->outlook[n][edge * RAYS_SECTORS + i]);
    }
}
