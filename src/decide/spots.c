/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "decide/spots.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/error.h"
#include "base/number.h"
#include "decide/route_grid.h"

static const double OFF_WALL_M = 0.1; /* of a point along a wall from its centre line: a thick wall's half */
static const double NEAR_JAMB_M = 0.1;

/* --- stations -------------------------------------------------------------------------------------------------- */

bool es_radios_link(const earshot_radio *device, const earshot_radio *receiver)
{
    const bool out = !isnan(device->erp_dbm) && !isnan(receiver->sensitivity_dbm);
    const bool back = !isnan(receiver->erp_dbm) && !isnan(device->sensitivity_dbm);
    return out || back;
}

bool es_radio_repeats(const earshot_radio *radio)
{
    return !isnan(radio->erp_dbm) && !isnan(radio->sensitivity_dbm);
}

static earshot_station station_at_point(const earshot_placement *p, const earshot_spot *spot, size_t receiver)
{
    const earshot_site *site = p->site[0];
    const char *radio = p->plan->receiver[receiver].radio;
    return (earshot_station){
        .at = {spot->point.x_m, spot->point.y_m, p->plan->storey[spot->storey].level_m + spot->at_m},
        .radio = earshot_site_radio(site, radio, p->frequency_hz),
    };
}

/* As a mount's station, with the radio of the receiver that is moved there. */
static earshot_station station_at_mount(const earshot_placement *p, size_t mount, size_t receiver)
{
    const earshot_mount *m = &p->plan->mount[mount];
    const double fixing_db = earshot_mounting_db(m->fixing, p->frequency_hz);
    return (earshot_station){.at = earshot_site_mount_at(p->site[0], mount),
                             .radio =
                                 earshot_site_radio(p->site[0], p->plan->receiver[receiver].radio, p->frequency_hz),
                             .mounting_db = isnan(m->mounting_db) ? fixing_db : m->mounting_db};
}

static earshot_station station_at_receiver(const earshot_placement *p, size_t receiver)
{
    earshot_station station = {0};
    if (earshot_receiver_station(p->site[0], receiver, p->frequency_hz, &station)) station.radio = NULL;
    return station;
}

earshot_station es_spot_receiver(const earshot_placement *p, size_t index, size_t receiver)
{
    const earshot_spot *spot = &p->spot[index];
    if (spot->receiver != EARSHOT_NONE) return station_at_receiver(p, (size_t)spot->receiver);
    if (spot->mount != EARSHOT_NONE) return station_at_mount(p, (size_t)spot->mount, receiver);
    return station_at_point(p, spot, receiver);
}

earshot_station es_spot_repeater(const earshot_placement *p, size_t index, size_t receiver)
{
    const earshot_spot *spot = &p->spot[index];
    earshot_station station = {0};
    if (spot->mount == EARSHOT_NONE) return es_spot_receiver(p, index, receiver);
    if (earshot_mount_station(p->site[0], (size_t)spot->mount, receiver, p->frequency_hz, &station))
        station.radio = NULL;
    return station;
}

/* --- the list -------------------------------------------------------------------------------------------------- */

typedef struct list {
    const earshot_place_request *request;
    const es_route_grid *grid;
    earshot_placement *placement;
    earshot_spot *spot; /* malloc'ed until sorted */
    size_t n, room;
    size_t receiver; /* of the plan, whose radio is lent */
    bool memory_out, too_many;
} list;

static bool is_avoided(const earshot_plan *plan, unsigned storey, earshot_point p)
{
    for (size_t i = 0; i < plan->n_avoids; i++) {
        const earshot_avoid *a = &plan->avoid[i];
        if (a->storey == storey && es_polygon_contains(a->point, a->n_points, p, 0.0)) return true;
    }
    return false;
}

static void add(list *l, earshot_spot spot)
{
    if (l->n == ES_MAX_SPOTS) l->too_many = true;
    if (l->too_many || l->memory_out) return;
    if (!es_grow((void **)&l->spot, &l->room, l->n, sizeof *l->spot))
        l->memory_out = true;
    else
        l->spot[l->n++] = spot;
}

static void add_receiver(list *l, size_t i)
{
    const earshot_plan *plan = l->placement->plan;
    const earshot_receiver *r = &plan->receiver[i];
    const bool fixed = l->request->receiver == (long)i;
    const bool free = !is_avoided(plan, r->storey, r->point);
    add(l, (earshot_spot){.name = r->name,
                          .label = r->label,
                          .receiver = (long)i,
                          .mount = EARSHOT_NONE,
                          .storey = r->storey,
                          .point = r->point,
                          .at_m = r->at_m,
                          .receives = fixed || free,
                          .repeats = !fixed && free});
}

/* A place is where the nearest cell is that no wall stands before: it lies close to a wall, and the nearest of all may
 * be behind it. */
static bool is_outdoors(const es_route_grid *g, earshot_vec3 p)
{
    const size_t deck = es_route_deck(g, p.z_m);
    const long column = lround((p.x_m - g->x0_m) / g->cell_m), row = lround((p.y_m - g->y0_m) / g->cell_m);
    double nearest = INFINITY;
    bool outdoors = true;
    for (long r = row - 1; r <= row + 1; r++) {
        for (long c = column - 1; c <= column + 1; c++) {
            if (r < 0 || c < 0 || r >= (long)g->rows || c >= (long)g->columns) continue;
            const size_t cell = deck * g->n_cells + (size_t)r * g->columns + (size_t)c;
            const earshot_vec3 centre = es_route_centre(g, cell);
            const earshot_point here = {p.x_m, p.y_m}, there = {centre.x_m, centre.y_m};
            const double distance = hypot(there.x_m - here.x_m, there.y_m - here.y_m);
            if (distance >= nearest || es_route_walls(g, deck, here, there, NULL, 0, NULL)) continue;
            nearest = distance;
            outdoors = g->outdoor[cell];
        }
    }
    return outdoors;
}

static void add_mount(list *l, size_t i)
{
    const earshot_plan *plan = l->placement->plan;
    const earshot_mount *m = &plan->mount[i];
    const bool free = m->repeater || !is_avoided(plan, m->storey, m->point);
    /* Control equipment stays inside the premises: common practice. */
    const bool out = l->grid && is_outdoors(l->grid, earshot_site_mount_at(l->placement->site[0], i));
    add(l,
        (earshot_spot){.name = m->name,
                       .label = m->label,
                       .receiver = EARSHOT_NONE,
                       .mount = (long)i,
                       .storey = m->storey,
                       .point = m->point,
                       .at_m = m->at_m,
                       .receives = l->request->receiver == EARSHOT_NONE && free && m->receiver && !m->repeater && !out,
                       .repeats = free,
                       .fitted = m->repeater});
}

/* --- points along walls ---------------------------------------------------------------------------------------- */

static bool in_opening(const earshot_plan *plan, unsigned storey, earshot_point on_wall, double at_m)
{
    for (size_t i = 0; i < plan->n_openings; i++) {
        const earshot_opening *o = &plan->opening[i];
        if (o->storey != storey || at_m < o->sill_m || at_m > o->head_m) continue;
        if (es_segment_distance_m(o->a, o->b, on_wall, NULL) < NEAR_JAMB_M) return true;
    }
    return false;
}

static bool in_block(const earshot_plan *plan, unsigned storey, earshot_point p)
{
    for (size_t i = 0; i < plan->n_blocks; i++)
        if (plan->block[i].storey == storey &&
            es_polygon_contains(plan->block[i].point, plan->block[i].n_points, p, 0.0))
            return true;
    return false;
}

static void add_point(list *l, const earshot_wall *wall, earshot_point on_wall, earshot_point p)
{
    const earshot_plan *plan = l->placement->plan;
    const double at_m = l->request->height_m;
    const earshot_vec3 place = {p.x_m, p.y_m, plan->storey[wall->storey].level_m + at_m};
    if (is_outdoors(l->grid, place) || is_avoided(plan, wall->storey, p) || in_block(plan, wall->storey, p)) return;
    if (in_opening(plan, wall->storey, on_wall, at_m)) return;
    add(l, (earshot_spot){.receiver = EARSHOT_NONE,
                          .mount = EARSHOT_NONE,
                          .storey = wall->storey,
                          .point = {es_round_centi(p.x_m), es_round_centi(p.y_m)},
                          .at_m = at_m,
                          .receives = true,
                          .repeats = true});
}

static void add_along(list *l, const earshot_wall *wall, earshot_point a, earshot_point b)
{
    const double length = hypot(b.x_m - a.x_m, b.y_m - a.y_m), spacing = l->request->spacing_m;
    const double n = fmax(1.0, floor(length / spacing));
    if (length < 2.0 * OFF_WALL_M || !(n <= ES_MAX_SPOTS)) {
        l->too_many = l->too_many || n > ES_MAX_SPOTS;
        return;
    }
    const double ux = (b.x_m - a.x_m) / length, uy = (b.y_m - a.y_m) / length;
    for (double i = 0.0; i < n; i++) {
        const double along = length * (i + 0.5) / n;
        const earshot_point on_wall = {a.x_m + ux * along, a.y_m + uy * along};
        add_point(l, wall, on_wall, (earshot_point){on_wall.x_m - uy * OFF_WALL_M, on_wall.y_m + ux * OFF_WALL_M});
        add_point(l, wall, on_wall, (earshot_point){on_wall.x_m + uy * OFF_WALL_M, on_wall.y_m - ux * OFF_WALL_M});
    }
}

static void add_points(list *l)
{
    const earshot_plan *plan = l->placement->plan;
    for (size_t i = 0; i < plan->n_walls; i++) {
        const earshot_wall *w = &plan->wall[i];
        if (l->request->storey && !l->request->storey[w->storey]) continue;
        const double from = isnan(w->from_m) ? 0.0 : w->from_m;
        const double to = isnan(w->to_m) ? plan->storey[w->storey].height_m : w->to_m;
        if (l->request->height_m < from || l->request->height_m > to) continue;
        for (size_t k = 0; k + 1 < w->n_points && !l->too_many; k++) add_along(l, w, w->point[k], w->point[k + 1]);
    }
}

static bool is_taken(const earshot_plan *plan, const char *name)
{
    for (size_t i = 0; i < plan->n_receivers; i++)
        if (strcmp(plan->receiver[i].name, name) == 0) return true;
    for (size_t i = 0; i < plan->n_mounts; i++)
        if (strcmp(plan->mount[i].name, name) == 0) return true;
    return false;
}

/* Points are called after their storey: hall-0001, hall-0002 ... */
static bool name_points(list *l)
{
    const earshot_plan *plan = l->placement->plan;
    unsigned number = 0;
    for (size_t i = 0; i < l->n; i++) {
        if (l->spot[i].name) continue;
        char name[80];
        do es_format(name, sizeof name, "%.60s-%04u", plan->storey[l->spot[i].storey].name, ++number);
        while (is_taken(plan, name));
        l->spot[i].name = es_arena_string(l->placement->arena, name, strlen(name));
        if (!l->spot[i].name) return false;
    }
    return true;
}

/* --- what may stand where -------------------------------------------------------------------------------------- */

static void look_at_radios(list *l)
{
    earshot_placement *p = l->placement;
    for (size_t i = 0; i < p->n_spots; i++) {
        earshot_spot *spot = &p->spot[i];
        const earshot_radio *receiver = es_spot_receiver(p, i, l->receiver).radio;
        const earshot_radio *repeater = es_spot_repeater(p, i, l->receiver).radio;
        const bool mains = spot->mount == EARSHOT_NONE || p->plan->mount[spot->mount].mains;
        spot->receives = spot->receives && receiver && (mains || !receiver->needs_mains);
        spot->repeats = spot->repeats && repeater && es_radio_repeats(repeater) && (mains || !repeater->needs_mains);
    }
}

static int by_name(const void *a, const void *b)
{
    return strcmp(((const earshot_spot *)a)->name, ((const earshot_spot *)b)->name);
}

static earshot_status fill(list *l, earshot_error *error)
{
    earshot_placement *p = l->placement;
    const earshot_place_request *r = l->request;
    for (size_t i = 0; i < p->plan->n_receivers; i++)
        if (r->receiver == EARSHOT_NONE || r->receiver == (long)i) add_receiver(l, i);
    for (size_t i = 0; i < p->plan->n_mounts; i++) add_mount(l, i);
    if (r->anywhere && l->grid) add_points(l);
    if (l->too_many)
        return es_fail(error, EARSHOT_PLAN_LIMIT, "take a larger spacing, or fewer storeys",
                       "more than %d places for a receiver", ES_MAX_SPOTS);
    if (l->memory_out || !name_points(l)) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    qsort(l->spot, l->n, sizeof *l->spot, by_name);
    p->spot = es_arena_copy(p->arena, l->spot, l->n, sizeof *l->spot);
    if (!p->spot) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    p->n_spots = l->n;
    look_at_radios(l);
    return EARSHOT_OK;
}

earshot_status es_spots_find(const earshot_place_request *request, const es_route_grid *grid,
                             earshot_placement *placement, earshot_error *error)
{
    list l = {.request = request, .grid = grid, .placement = placement};
    if (request->receiver != EARSHOT_NONE) l.receiver = (size_t)request->receiver;
    const earshot_status status = fill(&l, error);
    free(l.spot);
    return status;
}
