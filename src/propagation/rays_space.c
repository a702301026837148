/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the ground plan into space. A path on the ground plan of unfolded length rho may climb to the point's height in
 * several ways ("courses"): straight, or by way of the floor, the ceiling, or both. Everything upright is met at the
 * height the course has there, at the same climb, so that the path's amplitude is that of the plane problem with the
 * wave number k rho / s across the edges, times sqrt(rho) / s: for a leg that is 1/s, for a wedge it is the
 * three-dimensional coefficient of Kouyoumjian and Pathak (docs/model/rays.md shows the steps). */
#include <math.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_inner.h"

enum { MOST_COURSES = 24, MOST_BOUNCES = 3 };

/* Heights closer than this to a floor lie on it. */
static const double ON_FLOOR_M = 1e-6;

/* One way to climb. */
typedef struct course {
    double from_z, to_z;
    int direction; /* of the first stretch: +1 up, -1 down */
    size_t n_bounces;
    uint32_t floor[MOST_BOUNCES];
    double at_m[MOST_BOUNCES]; /* unfolded climb where it bounces */
    double climb_m;            /* unfolded, all */
} course;

typedef struct courses {
    course item[MOST_COURSES];
    size_t n;
} courses;

/* ---- courses ---- */

static double height_after(const course *c, double climbed_m)
{
    double z = c->from_z, done = 0.0;
    int direction = c->direction;
    for (size_t b = 0; b < c->n_bounces && climbed_m > c->at_m[b]; b++) {
        z += direction * (c->at_m[b] - done);
        done = c->at_m[b];
        direction = -direction;
    }
    return z + direction * (climbed_m - done);
}

static double last_height(const rays_scene *scene, const course *c)
{
    return c->n_bounces ? scene->floor[c->floor[c->n_bounces - 1]].z_m : c->from_z;
}

/* Add the course as it is, then each that bounces once more on its way. */
static void add_courses(const rays_scene *scene, course c, unsigned bounces, courses *all)
{
    const double last = last_height(scene, &c);
    const double done = c.n_bounces ? c.at_m[c.n_bounces - 1] : 0.0;
    const int onward = c.n_bounces % 2 ? -c.direction : c.direction;
    const bool fits = !c.n_bounces || onward * (c.to_z - last) > 0.0;
    if (fits && all->n < MOST_COURSES) {
        course whole = c;
        if (!c.n_bounces) whole.direction = c.to_z >= c.from_z ? 1 : -1;
        whole.climb_m = done + fabs(c.to_z - last);
        all->item[all->n++] = whole;
    }
    if (c.n_bounces == bounces || c.n_bounces == MOST_BOUNCES) return;
    for (uint32_t f = 0; f < scene->n_floors; f++) {
        const double way = scene->floor[f].z_m - last;
        if (fabs(way) < ON_FLOOR_M || (c.n_bounces && onward * way < 0.0)) continue;
        course more = c;
        if (!c.n_bounces) more.direction = way > 0.0 ? 1 : -1;
        more.floor[c.n_bounces] = f;
        more.at_m[c.n_bounces] = done + fabs(way);
        more.n_bounces++;
        add_courses(scene, more, bounces, all);
    }
}

static courses all_courses(const struct es_rays *rays, double z_m)
{
    courses all = {.n = 0};
    const course straight = {.from_z = rays->source_z, .to_z = z_m, .direction = 1};
    add_courses(rays->scene, straight, rays->options.floors, &all);
    return all;
}

/* ---- the way on the ground plan ---- */

/* A stretch between source, edges and point, with what it meets. */
typedef struct part {
    const rays_hit *hit;
    size_t n_hits;
    double from_m, length_m;
    uint32_t edge;          /* at its end; RAYS_NONE: the point */
    double leaves, arrives; /* angles at its start and at its end, seen from there */
    uint32_t slope_face;    /* of the edge at its end, when it came along a block's face */
} part;

enum { MOST_PARTS = RAYS_MOST_EDGES + 1 };

typedef struct way {
    rays_corner corner[RAYS_MOST_CORNERS];
    double at_m[RAYS_MOST_CORNERS];
    size_t n_corners;
    part part[MOST_PARTS];
    size_t n_parts;
    double length_m;
} way;

static double angle_of(rays_point from, rays_point to)
{
    return atan2(to.y - from.y, to.x - from.x);
}

/* Add one part, which ends at a target: its corners follow those that are there. */
static void add_part(const rays_scene *scene, way *w, const rays_images *images, size_t image, rays_point target,
                     part added)
{
    const size_t first = w->n_corners ? w->n_corners - 1 : 0;
    const uint32_t edge = w->n_corners ? w->corner[first].edge : RAYS_NONE;
    w->n_corners = first + es_rays_corners(scene, images, image, target, &w->corner[first]);
    w->corner[first].edge = edge;
    w->corner[w->n_corners - 1].edge = added.edge;
    if (!first) w->at_m[0] = 0.0;
    for (size_t i = first + 1; i < w->n_corners; i++) {
        const rays_point step = rays_minus(w->corner[i].at, w->corner[i - 1].at);
        w->at_m[i] = w->at_m[i - 1] + rays_length(step);
    }
    added.from_m = w->at_m[first];
    added.length_m = w->at_m[w->n_corners - 1] - added.from_m;
    added.leaves = angle_of(w->corner[first].at, w->corner[first + 1].at);
    added.arrives = angle_of(w->corner[w->n_corners - 1].at, w->corner[w->n_corners - 2].at);
    w->part[w->n_parts++] = added;
    w->length_m = w->at_m[w->n_corners - 1];
}

static part part_of(const struct es_rays *rays, const rays_wave *wave, size_t edge)
{
    return (part){.hit = wave->n_hits ? &rays->hits.item[wave->first_hit] : NULL,
                  .n_hits = wave->n_hits,
                  .edge = (uint32_t)edge,
                  .slope_face = wave->slope_face};
}

/* Lay the path out from the source to the point. */
static void lay_out(const struct es_rays *rays, const struct es_rays_work *work, const rays_path *path, rays_point p,
                    way *w)
{
    const rays_scene *scene = rays->scene;
    const rays_hit *hits = path->n_hits ? &work->kept.item[path->first_hit] : NULL;
    part last = {.hit = hits, .n_hits = path->n_hits, .edge = RAYS_NONE};
    last.slope_face = RAYS_NONE;
    w->n_corners = w->n_parts = 0;
    if (path->edge == RAYS_NONE) {
        add_part(scene, w, &rays->images, path->image, p, last);
        return;
    }
    size_t edge[RAYS_MOST_EDGES];
    const rays_wave *wave[RAYS_MOST_EDGES];
    const uint32_t n = path->n_edges;
    edge[n - 1] = path->edge;
    wave[n - 1] = &rays->waves[n - 1].item[path->wave];
    for (uint32_t i = n - 1; i > 0; i--) {
        edge[i - 1] = wave[i]->from_edge;
        wave[i - 1] = &rays->waves[i - 1].item[wave[i]->from_wave];
    }
    for (uint32_t i = 0; i < n; i++) {
        const rays_images *images = i ? &rays->edge_image[edge[i - 1]] : &rays->images;
        add_part(scene, w, images, i ? 0 : wave[0]->image, scene->edge[edge[i]].at, part_of(rays, wave[i], edge[i]));
    }
    add_part(scene, w, &rays->edge_image[path->edge], path->image, p, last);
}

static rays_point point_at(const way *w, double at_m)
{
    size_t i = 1;
    while (i + 1 < w->n_corners && w->at_m[i] < at_m) i++;
    const double step = w->at_m[i] - w->at_m[i - 1];
    const double share = step > 0.0 ? (at_m - w->at_m[i - 1]) / step : 0.0;
    const rays_point a = w->corner[i - 1].at, b = w->corner[i].at;
    return (rays_point){a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

/* ---- the amplitude of one way on one course ---- */

typedef struct rising {
    const struct es_rays *rays;
    struct es_rays_work *work;
    const way *way;
    const course *course;
    rays_climb climb;
    double length_m, floor;
    bool wanted[2]; /* components that both antennas know */
} rising;

static double height_at(const rising *r, double at_m)
{
    return height_after(r->course, r->course->climb_m * at_m / r->way->length_m);
}

static double power(double complex a)
{
    return creal(a) * creal(a) + cimag(a) * cimag(a);
}

static bool too_weak(const rising *r, const double complex both[2])
{
    return power(both[0]) < r->floor * r->floor && power(both[1]) < r->floor * r->floor;
}

/* Multiply in what stands upright. */
static bool meet_walls(const rising *r, double complex both[2])
{
    const rays_scene *scene = r->rays->scene;
    for (size_t p = 0; p < r->way->n_parts; p++) {
        const part *stretch = &r->way->part[p];
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
            if (too_weak(r, both)) return false;
        }
    }
    return true;
}

/* Multiply in one floor, met after climbing so far. The upright component meets it in TM, the level one in TE. */
static bool meet_floor(const rising *r, uint32_t floor, double climbed_m, bool bounces, double complex both[2])
{
    const rays_scene *scene = r->rays->scene;
    const rays_floor *f = &scene->floor[floor];
    const rays_table *table = &scene->table[f->table];
    if (!es_rays_floor_covers(f, point_at(r->way, r->way->length_m * climbed_m / r->course->climb_m))) return !bounces;
    if (!bounces) es_rays_note_pass(scene, r->work, table);
    for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++)
        both[c] *= bounces ? es_rays_r(table, 1 - c, r->climb.cosine) : es_rays_t(table, 1 - c, r->climb.cosine);
    return !too_weak(r, both);
}

/* Floors between two heights, passed on one stretch of the course. */
static bool pass_floors(const rising *r, double from_z, double to_z, double climbed_m, double complex both[2])
{
    const rays_scene *scene = r->rays->scene;
    const double low = fmin(from_z, to_z) + ON_FLOOR_M, high = fmax(from_z, to_z) - ON_FLOOR_M;
    for (uint32_t f = 0; f < scene->n_floors; f++) {
        const double z = scene->floor[f].z_m;
        if (z > low && z < high && !meet_floor(r, f, climbed_m + fabs(z - from_z), false, both)) return false;
    }
    return true;
}

static bool meet_floors(const rising *r, double complex both[2])
{
    const course *c = r->course;
    double z = c->from_z, done = 0.0;
    for (size_t b = 0; b < c->n_bounces; b++) {
        const double next = r->rays->scene->floor[c->floor[b]].z_m;
        if (!pass_floors(r, z, next, done, both) || !meet_floor(r, c->floor[b], c->at_m[b], true, both)) return false;
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
    const part *in = &r->way->part[p], *out = &r->way->part[p + 1];
    const rays_edge *edge = &scene->edge[in->edge];
    const rays_meet meet = {height_at(r, out->from_m), r->climb, component};
    rays_views *views = &r->work->views;
    if (!stands(scene, edge, meet.z_m)) return false;
    *m = (meeting){.edge = edge};
    m->scale = (rays_scale){scene->k * r->climb.sine, in->length_m * out->length_m / (in->length_m + out->length_m),
                            component};
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
    const part *in = &r->way->part[p], *out = &r->way->part[p + 1];
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
    const part *stretch = r->way->part;
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

/* ---- antennas ---- */

/* What an antenna sends into, or takes from, each component of a ray that leaves it at an angle of the ground plan, as
 * an amplitude relative to isotropic. The upright component points down when the ray is level. An isotropic antenna
 * takes the upright component, as most devices on walls do by and large. Short element: sqrt(1.5) times the sine of the
 * angle between it and the ray; half-wave dipole: sqrt(1.64) cos(pi/2 cos) / sin (textbook forms, from memory). */
void es_rays_pattern(earshot_antenna antenna, double angle_rad, rays_climb ray, double gain[2])
{
    gain[RAYS_UPRIGHT] = 1.0;
    gain[RAYS_LEVEL] = 0.0;
    if (antenna == EARSHOT_ANTENNA_ISOTROPIC) return;
    const bool x = antenna == EARSHOT_ANTENNA_HORIZONTAL_X || antenna == EARSHOT_ANTENNA_DIPOLE_X;
    const bool y = antenna == EARSHOT_ANTENNA_HORIZONTAL_Y || antenna == EARSHOT_ANTENNA_DIPOLE_Y;
    const double along = x ? cos(angle_rad) : y ? sin(angle_rad) : 0.0;
    const double across = x ? -sin(angle_rad) : y ? cos(angle_rad) : 0.0;
    const double cosine = x || y ? ray.sine * along : ray.cosine, sine2 = 1.0 - cosine * cosine;
    double strength = sqrt(1.5);
    if (antenna >= EARSHOT_ANTENNA_DIPOLE_VERTICAL)
        strength = sine2 > 1e-12 ? sqrt(1.64) * cos(ES_PI / 2.0 * cosine) / sine2 : 0.0;
    gain[RAYS_UPRIGHT] = strength * (x || y ? ray.cosine * along : -ray.sine);
    gain[RAYS_LEVEL] = strength * across;
}

/* ---- one way on all its courses ---- */

static rays_climb climb_at_end(const course *c, rays_climb climb, bool start)
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
 * stronger, TM passing more than TE: half as much again at most in what we met. */
static const double BOUND_SLACK = 1.5;

/* Everything on the way but the antennas, by component; false when too little is left. candidate: its size on the
 * ground plan. */
static bool passage(const rising *r, double candidate, double complex both[2])
{
    for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) both[c] = r->wanted[c] ? 1.0 : 0.0;
    if (!meet_floors(r, both)) return false;
    const double rise = sqrt(r->way->length_m) / r->length_m;
    const double most = candidate * rise * BOUND_SLACK, limit = r->work->strongest * r->rays->weakest;
    if (most * most * (power(both[0]) + power(both[1])) < limit * limit || !meet_walls(r, both)) return false;
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
    const part *first = &r->way->part[0], *last = &r->way->part[r->way->n_parts - 1];
    es_rays_pattern(antennas.source, first->leaves, climb_at_end(r->course, r->climb, true), sent);
    es_rays_pattern(antennas.point, last->arrives + ES_PI, climb_at_end(r->course, r->climb, false), taken);
    for (int c = RAYS_UPRIGHT; c <= RAYS_LEVEL; c++) r->wanted[c] = sent[c] * taken[c] != 0.0;
    path.first_pass = r->work->n_passed;
    if (!passage(r, rays_size(path.amplitude), both)) {
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

static void rise_by_all(const struct es_rays *rays, struct es_rays_work *work, const way *w, const courses *all,
                        rays_path path, es_rays_antennas antennas)
{
    const bool straight = path.edge == RAYS_NONE && path.image == 0;
    for (uint32_t i = 0; i < all->n; i++) {
        const course *c = &all->item[i];
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

void es_rays_rise(const struct es_rays *rays, struct es_rays_work *work, rays_point p, double z_m,
                  es_rays_antennas antennas)
{
    const courses all = all_courses(rays, z_m);
    work->point = p;
    work->point_z = z_m;
    work->n_risen = work->n_passed = 0;
    work->strongest = 0.0;
    for (uint32_t i = 0; i < work->n_paths; i++) {
        way w;
        rays_path path = work->path[i];
        path.candidate = i;
        lay_out(rays, work, &path, p, &w);
        rise_by_all(rays, work, &w, &all, path, antennas);
    }
    if (rays->options.over) es_rays_over(rays, work, p, z_m, antennas);
    const double limit = work->strongest * rays->weakest;
    size_t kept = 0;
    for (size_t i = 0; i < work->n_risen; i++)
        if (rays_size(work->risen[i].amplitude) >= limit) work->risen[kept++] = work->risen[i];
    work->n_risen = kept;
}

/* ---- accounts ---- */

static void note(earshot_path *account, earshot_deed deed, size_t element, rays_point p, double z_m, double along_m)
{
    if (account->n_meetings == EARSHOT_MOST_MEETINGS) return;
    size_t i = account->n_meetings++;
    while (i > 0 && account->meeting[i - 1].along_m > along_m) {
        account->meeting[i] = account->meeting[i - 1];
        i--;
    }
    account->meeting[i] = (earshot_meeting){deed, element, {p.x, p.y, z_m}, along_m};
}

static void note_walls(const rising *r, earshot_path *account)
{
    const rays_scene *scene = r->rays->scene;
    for (size_t p = 0; p < r->way->n_parts; p++) {
        const part *stretch = &r->way->part[p];
        for (size_t i = 0; i < stretch->n_hits; i++) {
            const double along_m = stretch->from_m + stretch->hit[i].at_m, z_m = height_at(r, along_m);
            const rays_band *band = es_rays_band_at(scene, stretch->hit[i].wall, z_m);
            if (!band) continue;
            note(account, stretch->hit[i].reflects ? EARSHOT_REFLECTED : EARSHOT_PASSES, band->element,
                 point_at(r->way, along_m), z_m, along_m);
        }
        if (stretch->edge == RAYS_NONE) continue;
        const rays_edge *edge = &scene->edge[stretch->edge];
        const double along_m = stretch->from_m + stretch->length_m;
        note(account, EARSHOT_DIFFRACTED, scene->band[scene->wall[scene->arm[edge->first_arm].wall].first_band].element,
             edge->at, height_at(r, along_m), along_m);
    }
}

static void note_floors(const rising *r, earshot_path *account)
{
    const rays_scene *scene = r->rays->scene;
    const course *c = r->course;
    double z = c->from_z, done = 0.0;
    for (size_t b = 0; b <= c->n_bounces; b++) {
        const double next = b < c->n_bounces ? scene->floor[c->floor[b]].z_m : c->to_z;
        for (uint32_t f = 0; f < scene->n_floors; f++) {
            const rays_floor *floor = &scene->floor[f];
            const bool bounces = b < c->n_bounces && f == c->floor[b];
            const bool passes = floor->z_m > fmin(z, next) + ON_FLOOR_M && floor->z_m < fmax(z, next) - ON_FLOOR_M;
            if (!bounces && !passes) continue;
            const double along_m = r->way->length_m * (done + fabs(floor->z_m - z)) / c->climb_m;
            const rays_point p = point_at(r->way, along_m);
            if (!es_rays_floor_covers(floor, p)) continue;
            note(account, bounces ? EARSHOT_REFLECTED : EARSHOT_PASSES, floor->element, p, floor->z_m, along_m);
        }
        done += fabs(next - z);
        z = next;
    }
}

static earshot_path account_of(const struct es_rays *rays, struct es_rays_work *work, const rays_path *path)
{
    const rays_point level = rays_minus(work->point, rays->source);
    const double straight_m = hypot(rays_length(level), work->point_z - rays->source_z);
    earshot_path account = {.gain_db = 20.0 * log10(cabs(path->amplitude) * straight_m), .length_m = path->length_m};
    if (path->candidate == RAYS_NONE) {
        note(&account, EARSHOT_DIFFRACTED, path->over_element, path->over_at, path->over_z, 0.0);
        return account;
    }
    const courses all = all_courses(rays, work->point_z);
    way w;
    lay_out(rays, work, &work->path[path->candidate], work->point, &w);
    const rising r = {.rays = rays, .work = work, .way = &w, .course = &all.item[path->course]};
    note_walls(&r, &account);
    note_floors(&r, &account);
    return account;
}

static bool stronger(const rays_path *p, const rays_path *q)
{
    const double a = cabs(p->amplitude), b = cabs(q->amplitude);
    return a != b ? a > b : p->length_m < q->length_m;
}

size_t es_rays_strongest(const es_rays *rays, es_rays_work *work, earshot_path *account, size_t limit)
{
    size_t n = 0;
    for (; n < limit && n < work->n_risen; n++) {
        size_t best = n;
        for (size_t i = n + 1; i < work->n_risen; i++)
            if (stronger(&work->risen[i], &work->risen[best])) best = i;
        const rays_path swapped = work->risen[n];
        work->risen[n] = work->risen[best];
        work->risen[best] = swapped;
        account[n] = account_of(rays, work, &work->risen[n]);
    }
    return n;
}
