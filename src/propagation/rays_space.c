/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the ground plan into space. A path on the ground plan of unfolded length rho may climb to the point's height in
 * several ways ("courses"): straight, or by way of the floor, the ceiling, or both. Everything upright is met at the
 * height the course has there, at the same climb, so that the path's amplitude is that of the plane problem with the
 * wave number k rho / s across the edges, times sqrt(rho) / s: for a leg that is 1/s, for a wedge it is the
 * three-dimensional coefficient of Kouyoumjian and Pathak (docs/model/rays.md shows the steps). */
#include <math.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_space.h"

/* ---- the amplitude of one way on one course ---- */

typedef struct rising {
    const struct es_rays *rays;
    struct es_rays_work *work;
    const rays_way *way;
    const rays_course *course;
    rays_climb climb;
    double length_m, floor;
    double needed;  /* product of R and T without which the path would not be kept */
    bool wanted[2]; /* components that both antennas know */
} rising;

static double height_at(const rising *r, double at_m)
{
    return es_rays_height_at(r->way, r->course, at_m);
}

static double power(double complex a)
{
    return creal(a) * creal(a) + cimag(a) * cimag(a);
}

/* Is the product of R and T, as far as it is known, enough? share: what was reckoned on the ground plan for what is
 * still to come. */
static bool enough(const rising *r, double share, const double complex both[2])
{
    const double x = power(both[0]), y = power(both[1]);
    return fmax(x, y) >= r->floor * r->floor && (x + y) * share * share >= r->needed * r->needed;
}

/* Multiply in what stands upright; the last part first, of which only a bound was known (rays_trace.c). */
static bool meet_walls(const rising *r, double complex both[2])
{
    const rays_scene *scene = r->rays->scene;
    for (size_t p = r->way->n_parts; p-- > 0;) {
        const rays_part *stretch = &r->way->part[p];
        for (size_t i = 0; i < stretch->n_hits; i++) {
            const rays_hit *hit = &stretch->hit[i];
            const rays_table *table = es_rays_wall_at(scene, hit->wall, height_at(r, stretch->from_m + hit->at_m));
            if (!table && hit->reflects) return false;
            if (!table) continue;
            if (!hit->reflects) es_rays_note_pass(scene, r->work, table);
            for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) {
                if (!r->wanted[c]) continue;
                both[c] *= hit->reflects ? es_rays_wall_r(table, c, hit->cosine, r->climb)
                                         : es_rays_wall_t(table, c, hit->cosine, r->climb);
            }
            if (!enough(r, 1.0, both)) return false;
        }
    }
    return true;
}

/* Is the floor there where the course comes to it, after climbing so far? */
static bool covers(const rising *r, uint32_t floor, double climbed_m)
{
    const rays_point at = es_rays_point_at(r->way, r->way->length_m * climbed_m / r->course->climb_m);
    return es_rays_floor_covers(&r->rays->scene->floor[floor], at);
}

/* Multiply in all bounces, as if every floor went on for ever. The upright component meets them in TM, the level one in
 * TE. */
static void bounce(const rising *r, double complex both[2])
{
    const rays_scene *scene = r->rays->scene;
    for (size_t b = 0; b < r->course->n_bounces; b++) {
        const rays_table *table = &scene->table[scene->floor[r->course->floor[b]].table];
        for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) both[c] *= es_rays_r(table, 1 - c, r->climb.cosine);
    }
}

/* Multiply in one floor that is passed. */
static bool pass_floor(const rising *r, uint32_t floor, double climbed_m, double complex both[2])
{
    const rays_scene *scene = r->rays->scene;
    const rays_table *table = &scene->table[scene->floor[floor].table];
    if (!covers(r, floor, climbed_m)) return true;
    es_rays_note_pass(scene, r->work, table);
    for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) both[c] *= es_rays_t(table, 1 - c, r->climb.cosine);
    return enough(r, 1.0, both);
}

/* Floors between two heights, passed on one stretch of the course. */
static bool pass_floors(const rising *r, double from_z, double to_z, double climbed_m, double complex both[2])
{
    const rays_scene *scene = r->rays->scene;
    const double low = fmin(from_z, to_z) + RAYS_ON_FLOOR_M, high = fmax(from_z, to_z) - RAYS_ON_FLOOR_M;
    for (uint32_t f = 0; f < scene->n_floors; f++) {
        const double z = scene->floor[f].z_m;
        if (z > low && z < high && !pass_floor(r, f, climbed_m + fabs(z - from_z), both)) return false;
    }
    return true;
}

/* Multiply in the floors between bounces; false where one to bounce at is not there. */
static bool meet_floors(const rising *r, double complex both[2])
{
    const rays_course *c = r->course;
    double z = c->from_z, done = 0.0;
    for (size_t b = 0; b < c->n_bounces; b++) {
        const double next = r->rays->scene->floor[c->floor[b]].z_m;
        if (!covers(r, c->floor[b], c->at_m[b]) || !pass_floors(r, z, next, done, both)) return false;
        z = next;
        done = c->at_m[b];
    }
    return pass_floors(r, z, c->to_z, done, both);
}

/* Is the block of a corner there at this height? */
static bool stands(const rays_scene *scene, const rays_edge *edge, double z_m)
{
    return !edge->wedge || es_rays_wall_at(scene, scene->arm[edge->first_arm].wall, z_m);
}

/* An edge as the ray meets it. */
typedef struct meeting {
    const rays_edge *edge;
    rays_side in, out;
    const rays_view *in_view, *out_view;
    rays_scale scale;
} meeting;

/* The edge that ends part p. False: nothing stands there. */
static bool meet_edge(const rising *r, size_t p, int component, meeting *m)
{
    const rays_scene *scene = r->rays->scene;
    const rays_part *in = &r->way->part[p], *out = &r->way->part[p + 1];
    const rays_edge *edge = &scene->edge[in->edge];
    const rays_meet meet = {height_at(r, out->from_m), r->climb, component};
    rays_views *views = &r->work->views;
    if (!stands(scene, edge, meet.z_m)) return false;
    *m = (meeting){.edge = edge};
    m->scale = (rays_scale){scene->k * r->climb.sine, rays_distance_m(in->length_m, out->length_m), component};
    views->n = 0;
    if (!es_rays_side_at(scene, edge, in->arrives, meet, views, &m->in) ||
        !es_rays_side_at(scene, edge, out->leaves, meet, views, &m->out)) {
        r->work->no_memory = true;
        return false;
    }
    m->in_view = &views->item[m->in.first_view];
    m->out_view = &views->item[m->out.first_view];
    return true;
}

/* D at the edge that ends part p. */
static double complex diffraction(const rising *r, size_t p, int component)
{
    const rays_scene *scene = r->rays->scene;
    const rays_part *in = &r->way->part[p], *out = &r->way->part[p + 1];
    meeting m;
    if (!meet_edge(r, p, component, &m)) return 0.0;
    /* Along a face the soft field is carried by its slope; the hard one by itself, half of it being the mirror image's.
     */
    if (component == RAYS_UPRIGHT && out->slope_face != RAYS_NONE)
        return es_rays_wedge_slope(scene, m.edge, 1 - out->slope_face, in->arrives, m.scale) /
               (2.0 * I * m.scale.k * out->length_m);
    if (component == RAYS_UPRIGHT && in->slope_face != RAYS_NONE)
        return es_rays_wedge_slope(scene, m.edge, in->slope_face, out->leaves, m.scale);
    const double half = in->slope_face != RAYS_NONE ? 0.5 : 1.0;
    return half * es_rays_diffract(scene, m.edge, &m.in, m.in_view, &m.out, m.out_view, m.scale);
}

/* D at the edge that ends part p by its boundaries. */
static uint32_t bends_of(const rising *r, size_t p, int component, rays_bend *bend)
{
    meeting m;
    if (!meet_edge(r, p, component, &m)) return 0;
    return es_rays_bends(r->rays->scene, m.edge, &m.in, m.in_view, &m.out, m.out_view, m.scale, p > 0, bend);
}

/* D at all edges of the way: at the first two joined where that is possible. */
static double complex diffractions(const rising *r, int component)
{
    const rays_part *stretch = r->way->part;
    const size_t n_edges = r->way->n_parts - 1;
    rays_bend first[RAYS_MOST_BENDS], second[RAYS_MOST_BENDS];
    double complex d = 1.0;
    size_t done = 0;
    if (n_edges >= 2 && stretch[1].slope_face == RAYS_NONE) {
        const uint32_t n_first = bends_of(r, 0, component, first), n_second = bends_of(r, 1, component, second);
        const rays_reach reach = {stretch[0].length_m, stretch[1].length_m, stretch[2].length_m};
        if (n_first && n_second) {
            d = es_rays_pair(r->rays->scene, first, n_first, second, n_second, reach);
            done = 2;
        }
    }
    for (size_t p = done; p < n_edges; p++) d *= diffraction(r, p, component);
    return d;
}

/* ---- one way on all its courses ---- */

static rays_climb climb_at_end(const rays_course *c, rays_climb climb, bool start)
{
    const int direction = start || c->n_bounces % 2 == 0 ? c->direction : -c->direction;
    return (rays_climb){climb.sine, direction * climb.cosine};
}

static bool add_risen(struct es_rays_work *work, rays_path path)
{
    void *items = work->risen;
    if (!es_grow(&items, &work->risen_room, work->n_risen, sizeof path)) return false;
    work->risen = items;
    work->risen[work->n_risen++] = path;
    return true;
}

/* A candidate is judged by an upper bound on the ground plan, level and in TE. What it becomes in space may be a little
 * stronger, TM passing more than TE: half as much again at most in what we met. D is judged as it is there, with E
 * upright: a conductor's corner that sends level E alone along its face is missed. */
static const double BOUND_SLACK = 1.5;

/* Everything on the way but the antennas, by component; false when too little is left. */
static bool passage(rising *r, const rays_path *candidate, double complex both[2])
{
    const double rise = sqrt(r->way->length_m) / r->length_m;
    const double most = rays_size(candidate->amplitude) * rise * BOUND_SLACK;
    r->needed = r->work->strongest * r->rays->weakest * candidate->passed / most;
    for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) both[c] = r->wanted[c] ? 1.0 : 0.0;
    bounce(r, both);
    if (!enough(r, candidate->passed, both) || !meet_walls(r, both) || !meet_floors(r, both)) return false;
    double spread = 1.0;
    for (size_t p = 0; p < r->way->n_parts; p++) spread *= r->way->part[p].length_m;
    const double complex turned = rise / sqrt(spread) * cexp(-I * (r->rays->scene->k * r->length_m));
    for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) {
        both[c] *= turned;
        if (r->wanted[c]) both[c] *= diffractions(r, c);
    }
    return true;
}

static void rise(rising *r, rays_path path, es_rays_antennas antennas)
{
    double complex both[2];
    double sent[2], taken[2];
    const rays_part *first = &r->way->part[0], *last = &r->way->part[r->way->n_parts - 1];
    es_rays_pattern(antennas.source, first->leaves, climb_at_end(r->course, r->climb, true), sent);
    es_rays_pattern(antennas.point, last->arrives + ES_PI, climb_at_end(r->course, r->climb, false), taken);
    for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) r->wanted[c] = sent[c] * taken[c] != 0.0;
    path.first_pass = r->work->n_passed;
    if (!passage(r, &path, both)) {
        r->work->n_passed = path.first_pass;
        return;
    }
    path.n_passes = r->work->n_passed - path.first_pass;
    path.amplitude = both[0] * sent[0] * taken[0] + both[1] * sent[1] * taken[1];
    path.ux *= r->climb.sine;
    path.uy *= r->climb.sine;
    path.length_m = r->length_m;
    const double size = rays_size(path.amplitude);
    if (!(size > 0.0)) return;
    if (!add_risen(r->work, path)) r->work->no_memory = true;
    r->work->strongest = fmax(r->work->strongest, size);
}

static void rise_by_all(const struct es_rays *rays, struct es_rays_work *work, const rays_way *w,
                        const rays_courses *all, rays_path path, es_rays_antennas antennas)
{
    const bool straight = path.edge == RAYS_NONE && path.image == 0;
    for (uint32_t i = 0; i < all->n; i++) {
        const rays_course *c = &all->item[i];
        const double length_m = sqrt(w->length_m * w->length_m + c->climb_m * c->climb_m);
        rising r = {.rays = rays,
                    .work = work,
                    .way = w,
                    .course = c,
                    .climb = {w->length_m / length_m, c->climb_m / length_m},
                    .length_m = length_m,
                    .floor = straight && c->n_bounces == 0 ? RAYS_NOTHING : work->floor};
        path.course = i;
        rise(&r, path, antennas);
    }
}

/* The candidate that is strongest on the ground plan; it comes first, so that what is too weak beside it is seen early.
 */
static size_t strongest_of(const struct es_rays_work *work)
{
    size_t best = 0;
    for (size_t i = 1; i < work->n_paths; i++)
        if (rays_size(work->path[i].amplitude) > rays_size(work->path[best].amplitude)) best = i;
    return best;
}

void es_rays_rise(const struct es_rays *rays, struct es_rays_work *work, const rays_courses *all, rays_point p,
                  double z_m, es_rays_antennas antennas)
{
    work->point = p;
    work->point_z = z_m;
    work->n_risen = work->n_passed = 0;
    work->strongest = 0.0;
    const size_t first = strongest_of(work);
    for (size_t i = 0; i < work->n_paths; i++) {
        rays_way w;
        const size_t candidate = i == 0 ? first : i <= first ? i - 1 : i;
        rays_path path = work->path[candidate];
        path.candidate = (uint32_t)candidate;
        es_rays_lay_out(rays, work, &path, p, &w);
        rise_by_all(rays, work, &w, all, path, antennas);
    }
    if (rays->options.over) es_rays_over(rays, work, p, z_m, antennas);
    const double limit = work->strongest * rays->weakest;
    size_t kept = 0;
    for (size_t i = 0; i < work->n_risen; i++)
        if (rays_size(work->risen[i].amplitude) >= limit) work->risen[kept++] = work->risen[i];
    work->n_risen = kept;
}
