/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "decide/wiring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "coverage/share.h"
#include "decide/cable.h"
#include "site/site.h"

static const double CELL_M = 0.25;
enum { MAX_CELLS = 100000 };
static const double SAME_LEVEL_M = 0.05; /* storeys of one level share a deck */

es_cost es_cost_of(double units)
{
    const double hundredths = round(units * 100.0);
    return hundredths >= (double)ES_COST_MAX ? ES_COST_MAX : hundredths > 0.0 ? (es_cost)hundredths : 0;
}

/* --- devices --------------------------------------------------------------------------------------------------- */

bool es_may_be_wired(const earshot_device *device)
{
    if (device->wiring == EARSHOT_WIRING_MUST) return true;
    return device->wiring == EARSHOT_WIRING_MAY && !earshot_kind_is_handheld(device->kind);
}

/* Keypads and relay modules stand on the panel's data line, sounders on an output of their own: common practice, no
 * source. */
unsigned es_inputs_of(earshot_kind kind)
{
    return kind != EARSHOT_KIND_KEYPAD && kind != EARSHOT_KIND_SOUNDER && kind != EARSHOT_KIND_OUTPUT;
}

/* Currents drawn at 12 V in alarm, for a plan that states none: common practice, no source. A contact is only a loop.
 */
double es_current_of(const earshot_device *device)
{
    if (!isnan(device->current_a)) return device->current_a;
    switch (device->kind) {
    case EARSHOT_KIND_CONTACT: return 0.001;
    case EARSHOT_KIND_SHOCK:
    case EARSHOT_KIND_FLOOD: return 0.015;
    case EARSHOT_KIND_MOVEMENT:
    case EARSHOT_KIND_GLASS: return 0.025;
    case EARSHOT_KIND_SMOKE:
    case EARSHOT_KIND_HEAT:
    case EARSHOT_KIND_CARBON_MONOXIDE: return 0.060;
    case EARSHOT_KIND_GAS:
    case EARSHOT_KIND_KEYPAD: return 0.100;
    case EARSHOT_KIND_SOUNDER: return 0.350;
    case EARSHOT_KIND_PANIC:
    case EARSHOT_KIND_FOB:
    case EARSHOT_KIND_OUTPUT:
    case EARSHOT_KIND_OTHER:
    case EARSHOT_KINDS: break;
    }
    return 0.050;
}

/* --- the grid -------------------------------------------------------------------------------------------------- */

static int by_level(const void *a, const void *b)
{
    const es_deck *one = a, *two = b;
    return (one->level_m > two->level_m) - (one->level_m < two->level_m);
}

/* Storeys by level, those of one level together, the lowest ceiling of them. */
static size_t list_decks(const earshot_plan *plan, es_deck *deck)
{
    for (size_t i = 0; i < plan->n_storeys; i++) deck[i] = (es_deck){plan->storey[i].level_m, plan->storey[i].height_m};
    qsort(deck, plan->n_storeys, sizeof *deck, by_level);
    size_t n = 0;
    for (size_t i = 0; i < plan->n_storeys; i++) {
        if (n && deck[i].level_m - deck[n - 1].level_m <= SAME_LEVEL_M)
            deck[n - 1].height_m = fmin(deck[n - 1].height_m, deck[i].height_m);
        else
            deck[n++] = deck[i];
    }
    return n;
}

static unsigned char barrier_of(const earshot_site *site, size_t element)
{
    const earshot_element e = site->element[element];
    const bool open = strcmp(site->plan->material[e.material].name, "open") == 0;
    if (open) return ES_BARRIER_NONE;
    return e.kind == EARSHOT_ELEMENT_DOOR || e.kind == EARSHOT_ELEMENT_WINDOW ? ES_BARRIER_SHUT : ES_BARRIER_DRILL;
}

static void widen(es_route_site *s, earshot_point p)
{
    s->low = (earshot_point){fmin(s->low.x_m, p.x_m), fmin(s->low.y_m, p.y_m)};
    s->high = (earshot_point){fmax(s->high.x_m, p.x_m), fmax(s->high.y_m, p.y_m)};
}

static void find_extent(const earshot_site *site, es_route_site *s)
{
    const earshot_plan *plan = site->plan;
    s->low = (earshot_point){INFINITY, INFINITY};
    s->high = (earshot_point){-INFINITY, -INFINITY};
    for (unsigned i = 0; i < plan->n_storeys; i++) {
        earshot_point low, high;
        if (!earshot_storey_extent(site, i, &low, &high)) continue;
        widen(s, low);
        widen(s, high);
    }
    for (size_t i = 0; i < plan->n_mounts; i++) widen(s, plan->mount[i].point);
}

static earshot_status make_grid(const earshot_site *site, es_deck *deck, unsigned char *barrier, es_route_grid **grid)
{
    const earshot_costs *cost = &site->plan->cost;
    for (size_t i = 0; i < site->n_elements; i++) barrier[i] = barrier_of(site, i);
    es_route_site s = {.geometry = site->geometry,
                       .barrier = barrier,
                       .n_elements = site->n_elements,
                       .deck = deck,
                       .n_decks = list_decks(site->plan, deck),
                       .prices = {cost->cable, cost->across, cost->outdoor, cost->wall, cost->slab},
                       .cell_m = CELL_M,
                       .max_cells = MAX_CELLS};
    find_extent(site, &s);
    if (!(s.low.x_m <= s.high.x_m)) return EARSHOT_OK; /* nothing is drawn */
    return es_route_grid_new(&s, grid);
}

earshot_status es_wiring_grid(const earshot_site *site, es_route_grid **grid)
{
    *grid = NULL;
    es_deck *deck = malloc((site->plan->n_storeys + 1) * sizeof *deck);
    unsigned char *barrier = malloc(site->n_elements + 1);
    const earshot_status status = deck && barrier ? make_grid(site, deck, barrier, grid) : EARSHOT_MEMORY;
    free(deck);
    free(barrier);
    return status;
}

/* --- costs ----------------------------------------------------------------------------------------------------- */

typedef struct costing {
    const earshot_placement *placement;
    const es_route_grid *grid;
    es_cost *wire;
} costing;

static earshot_vec3 spot_at(const earshot_placement *p, size_t spot)
{
    const earshot_spot *s = &p->spot[spot];
    return (earshot_vec3){s->point.x_m, s->point.y_m, p->plan->storey[s->storey].level_m + s->at_m};
}

static es_cost cost_of_route(const earshot_placement *p, double route)
{
    return route < INFINITY ? es_cost_of(route + p->plan->cost.point) : ES_COST_NONE;
}

static earshot_status from_device(void *work, size_t device)
{
    const costing *c = work;
    const earshot_placement *p = c->placement;
    if (!es_may_be_wired(&p->plan->device[device])) return EARSHOT_OK;
    es_route_tree *tree;
    const earshot_status status = es_route_tree_new(c->grid, earshot_site_device_at(p->site[0], device), &tree);
    if (status) return status;
    for (size_t i = 0; i < p->n_spots; i++)
        if (p->spot[i].receives)
            c->wire[i * p->plan->n_devices + device] = cost_of_route(p, es_route_cost(tree, spot_at(p, i)));
    es_route_tree_free(tree);
    return EARSHOT_OK;
}

static earshot_status from_spot(void *work, size_t spot)
{
    const costing *c = work;
    const earshot_placement *p = c->placement;
    if (!p->spot[spot].receives) return EARSHOT_OK;
    es_route_tree *tree;
    const earshot_status status = es_route_tree_new(c->grid, spot_at(p, spot), &tree);
    if (status) return status;
    for (size_t d = 0; d < p->plan->n_devices; d++)
        if (es_may_be_wired(&p->plan->device[d]))
            c->wire[spot * p->plan->n_devices + d] =
                cost_of_route(p, es_route_cost(tree, earshot_site_device_at(p->site[0], d)));
    es_route_tree_free(tree);
    return EARSHOT_OK;
}

earshot_status es_wiring_costs(const earshot_placement *p, const es_route_grid *grid, es_cost *wire)
{
    costing c = {p, grid, wire};
    size_t n_receive = 0, n_wired = 0;
    for (size_t i = 0; i < p->n_spots * p->plan->n_devices; i++) wire[i] = ES_COST_NONE;
    if (!grid) return EARSHOT_OK;
    for (size_t i = 0; i < p->n_spots; i++) n_receive += p->spot[i].receives;
    for (size_t d = 0; d < p->plan->n_devices; d++) n_wired += es_may_be_wired(&p->plan->device[d]);
    /* A route costs the same both ways: start from whichever are fewer. */
    if (n_receive <= n_wired) return es_share(p->n_spots, from_spot, &c, NULL);
    return es_share(p->plan->n_devices, from_device, &c, NULL);
}

/* --- cables ---------------------------------------------------------------------------------------------------- */

void earshot_cable_clear(earshot_cable *cable)
{
    if (!cable) return;
    free(cable->element);
    free(cable->point);
    *cable = (earshot_cable){0};
}

static void feed(const earshot_device *device, earshot_cable *cable)
{
    const es_cable_run run = {.length_m = cable->length_m,
                              .current_a = es_current_of(device),
                              .temperature_c = ES_CABLE_WARM_C,
                              .supply_v = ES_CABLE_SUPPLY_V,
                              .least_v = ES_CABLE_DETECTOR_V,
                              .conductor = ES_CONDUCTOR_SOLID};
    es_cable thin, chosen;
    cable->current_a = run.current_a;
    if (!es_cable_try(&run, es_cable_section_mm2(0), &thin) || !es_cable_choose(&run, 0.0, &chosen)) return;
    cable->thin_v = thin.far_v;
    cable->section_mm2 = chosen.section_mm2;
    cable->ohm_per_km = chosen.ohm_per_km;
    cable->drop_v = chosen.drop_v;
    cable->far_v = chosen.far_v;
    cable->serves = chosen.serves;
}

static earshot_status lay(const earshot_site *site, const es_route_tree *tree, size_t device, earshot_cable *cable)
{
    es_route route;
    const earshot_status status = es_route_trace(tree, earshot_site_device_at(site, device), &route);
    if (status) return status;
    *cable = (earshot_cable){.length_m = route.length_m,
                             .outdoor_m = route.outdoor_m,
                             .walls = route.n_walls,
                             .slabs = route.n_slabs,
                             .element = route.element,
                             .n_elements = route.n_elements,
                             .point = route.point,
                             .n_points = route.n_points,
                             .cost = (double)es_cost_of(route.cost + site->plan->cost.point) / 100.0};
    feed(&site->plan->device[device], cable);
    return EARSHOT_OK;
}

earshot_status es_wiring_cables(const earshot_placement *p, const es_route_grid *grid, size_t spot,
                                earshot_placed *device)
{
    es_route_tree *tree = NULL;
    earshot_status status = EARSHOT_OK;
    for (size_t d = 0; d < p->plan->n_devices && !status; d++) {
        if (device[d].verdict != EARSHOT_VERDICT_WIRE || !device[d].served) continue;
        if (!tree) status = es_route_tree_new(grid, spot_at(p, spot), &tree);
        if (!status) status = lay(p->site[0], tree, d, &device[d].cable);
    }
    es_route_tree_free(tree);
    return status;
}

static earshot_status find_cable(const earshot_site *site, const es_route_grid *grid, size_t receiver, size_t device,
                                 earshot_cable *cable)
{
    es_route_tree *tree;
    earshot_status status = es_route_tree_new(grid, earshot_site_receiver_at(site, receiver), &tree);
    if (status) return status;
    const bool reached = es_route_cost(tree, earshot_site_device_at(site, device)) < INFINITY;
    if (reached) status = lay(site, tree, device, cable);
    es_route_tree_free(tree);
    return status;
}

earshot_status earshot_cable_find(const earshot_site *site, size_t receiver, size_t device, earshot_cable *cable)
{
    if (!cable) return EARSHOT_ARGUMENT;
    *cable = (earshot_cable){0};
    if (!site || receiver >= site->plan->n_receivers || device >= site->plan->n_devices) return EARSHOT_ARGUMENT;
    es_route_grid *grid;
    earshot_status status = es_wiring_grid(site, &grid);
    if (!status && grid) status = find_cable(site, grid, receiver, device, cable);
    es_route_grid_free(grid);
    return status;
}
