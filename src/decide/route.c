/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cheapest routes from one place (Dijkstra 1959, Numerische Mathematik 1, from memory). */
#include "decide/route.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "decide/route_grid.h"

enum { NO_STEP = 254, FROM_ROOT = 253, MOST_DRILLED = 64 };

struct es_route_tree {
    const es_route_grid *grid;
    earshot_vec3 root;
    double *cost;      /* [cells] of all decks */
    uint8_t *came_by;  /* [cells] the step that led there; FROM_ROOT; NO_STEP: not reached */
    size_t *heap, *at; /* cells waiting, cheapest first; where each stands in it, SIZE_MAX: not */
    size_t n_heap;
};

/* --- the heap -------------------------------------------------------------------------------------------------- */

/* Equal costs are taken by cell, so that the order is the same everywhere. */
static bool goes_first(const es_route_tree *t, size_t a, size_t b)
{
    return t->cost[a] < t->cost[b] || (t->cost[a] == t->cost[b] && a < b);
}

static void put_at(es_route_tree *t, size_t place, size_t cell)
{
    t->heap[place] = cell;
    t->at[cell] = place;
}

static void rise(es_route_tree *t, size_t place)
{
    const size_t cell = t->heap[place];
    while (place && goes_first(t, cell, t->heap[(place - 1) / 2])) {
        put_at(t, place, t->heap[(place - 1) / 2]);
        place = (place - 1) / 2;
    }
    put_at(t, place, cell);
}

static void sink(es_route_tree *t, size_t place)
{
    const size_t cell = t->heap[place];
    for (size_t child = 2 * place + 1; child < t->n_heap; child = 2 * place + 1) {
        if (child + 1 < t->n_heap && goes_first(t, t->heap[child + 1], t->heap[child])) child++;
        if (!goes_first(t, t->heap[child], cell)) break;
        put_at(t, place, t->heap[child]);
        place = child;
    }
    put_at(t, place, cell);
}

static size_t take_first(es_route_tree *t)
{
    const size_t first = t->heap[0];
    t->at[first] = SIZE_MAX;
    t->n_heap--;
    if (t->n_heap) {
        put_at(t, 0, t->heap[t->n_heap]);
        sink(t, 0);
    }
    return first;
}

static void offer(es_route_tree *t, size_t cell, double cost, unsigned came_by)
{
    if (cost >= t->cost[cell]) return;
    t->cost[cell] = cost;
    t->came_by[cell] = (uint8_t)came_by;
    if (t->at[cell] == SIZE_MAX) put_at(t, t->n_heap++, cell);
    rise(t, t->at[cell]);
}

/* --- from a place to the cells around it ----------------------------------------------------------------------- */

typedef struct joint {
    size_t cell;
    double cost, level_m, upright_m; /* lengths on the level and up or down the wall */
    unsigned walls;
} joint;

static earshot_point flat(earshot_vec3 v)
{
    return (earshot_point){v.x_m, v.y_m};
}

/* Up or down the wall to the height of the cables, then straight to the centre of a cell. false: there is no way. */
static bool join(const es_route_grid *g, earshot_vec3 place, size_t deck, size_t in, joint *j)
{
    const es_route_prices *prices = &g->site.prices;
    const size_t cell = deck * g->n_cells + in;
    const earshot_vec3 centre = es_route_centre(g, cell);
    const unsigned walls = es_route_walls(g, deck, flat(place), flat(centre), NULL, 0, NULL);
    if (walls == ES_HOLES_SHUT) return false;
    *j = (joint){.cell = cell,
                 .level_m = hypot(centre.x_m - place.x_m, centre.y_m - place.y_m),
                 .upright_m = fabs(centre.z_m - place.z_m),
                 .walls = walls + es_route_blocks(g, place, centre.z_m)};
    const double rate = g->outdoor[cell] ? prices->outdoor : prices->along_wall;
    j->cost = j->upright_m * rate + j->level_m * es_route_rate(g, cell) + prices->drilled_wall * j->walls;
    return true;
}

/* The nine cells around a place, those that can be joined. */
static size_t join_all(const es_route_grid *g, earshot_vec3 place, joint *list)
{
    const size_t deck = es_route_deck(g, place.z_m);
    const long column = lround((place.x_m - g->x0_m) / g->cell_m), row = lround((place.y_m - g->y0_m) / g->cell_m);
    size_t n = 0;
    for (long r = row - 1; r <= row + 1; r++) {
        for (long c = column - 1; c <= column + 1; c++) {
            if (r < 0 || c < 0 || r >= (long)g->rows || c >= (long)g->columns) continue;
            n += join(g, place, deck, (size_t)r * g->columns + (size_t)c, &list[n]);
        }
    }
    return n;
}

/* --- the tree -------------------------------------------------------------------------------------------------- */

static void spread(es_route_tree *t, size_t cell)
{
    const es_route_grid *g = t->grid;
    const double rate = es_route_rate(g, cell);
    for (unsigned direction = 0; direction < ES_STEPS; direction++) {
        es_step step;
        if (!es_route_step(g, cell, direction, &step)) continue;
        const double cost = step.length_m * 0.5 * (rate + es_route_rate(g, step.to)) +
                            g->site.prices.drilled_wall * step.walls + g->site.prices.drilled_slab * step.slabs;
        offer(t, step.to, t->cost[cell] + cost, direction);
    }
}

static void grow(es_route_tree *t)
{
    joint list[9];
    const size_t n = join_all(t->grid, t->root, list);
    for (size_t i = 0; i < n; i++) offer(t, list[i].cell, list[i].cost, FROM_ROOT);
    while (t->n_heap) spread(t, take_first(t));
}

earshot_status es_route_tree_new(const es_route_grid *grid, earshot_vec3 from, es_route_tree **tree)
{
    *tree = NULL;
    if (!isfinite(from.x_m) || !isfinite(from.y_m) || !isfinite(from.z_m)) return EARSHOT_ARGUMENT;
    es_route_tree *t = calloc(1, sizeof *t);
    if (!t) return EARSHOT_MEMORY;
    const size_t n = grid->n_cells * grid->site.n_decks;
    t->grid = grid;
    t->root = from;
    t->cost = malloc(n * sizeof *t->cost);
    t->came_by = malloc(n);
    t->heap = malloc(n * sizeof *t->heap);
    t->at = malloc(n * sizeof *t->at);
    if (!t->cost || !t->came_by || !t->heap || !t->at) {
        es_route_tree_free(t);
        return EARSHOT_MEMORY;
    }
    for (size_t i = 0; i < n; i++) {
        t->cost[i] = INFINITY;
        t->came_by[i] = NO_STEP;
        t->at[i] = SIZE_MAX;
    }
    grow(t);
    free(t->heap); /* the tree is grown: only costs and steps are asked for from now on */
    free(t->at);
    t->heap = t->at = NULL;
    *tree = t;
    return EARSHOT_OK;
}

void es_route_tree_free(es_route_tree *t)
{
    if (!t) return;
    free(t->cost);
    free(t->came_by);
    free(t->heap);
    free(t->at);
    free(t);
}

static bool best_joint(const es_route_tree *t, earshot_vec3 to, joint *best)
{
    joint list[9];
    const size_t n = join_all(t->grid, to, list);
    double least = INFINITY;
    *best = (joint){0};
    for (size_t i = 0; i < n; i++) {
        const double cost = t->cost[list[i].cell] + list[i].cost;
        if (cost >= least) continue;
        least = cost;
        *best = list[i];
    }
    return least < INFINITY;
}

double es_route_cost(const es_route_tree *t, earshot_vec3 to)
{
    joint j;
    if (!isfinite(to.x_m) || !isfinite(to.y_m) || !isfinite(to.z_m) || !best_joint(t, to, &j)) return INFINITY;
    return t->cost[j.cell] + j.cost;
}

/* --- following one route back ---------------------------------------------------------------------------------- */

typedef struct walk {
    const es_route_tree *tree;
    es_route route;
    size_t point_room, element_room;
    bool failed;
} walk;

static bool is_straight(earshot_vec3 a, earshot_vec3 b, earshot_vec3 c)
{
    const double ux = b.x_m - a.x_m, uy = b.y_m - a.y_m, uz = b.z_m - a.z_m;
    const double vx = c.x_m - b.x_m, vy = c.y_m - b.y_m, vz = c.z_m - b.z_m;
    const double x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
    return x * x + y * y + z * z < 1e-12 && ux * vx + uy * vy + uz * vz >= 0.0;
}

static void add_point(walk *w, earshot_vec3 p)
{
    es_route *r = &w->route;
    if (r->n_points > 1 && is_straight(r->point[r->n_points - 2], r->point[r->n_points - 1], p)) r->n_points--;
    if (!es_grow((void **)&r->point, &w->point_room, r->n_points, sizeof *r->point)) {
        w->failed = true;
        return;
    }
    r->point[r->n_points++] = p;
}

static void add_element(walk *w, size_t element)
{
    es_route *r = &w->route;
    if (!es_grow((void **)&r->element, &w->element_room, r->n_elements, sizeof *r->element))
        w->failed = true;
    else
        r->element[r->n_elements++] = element;
}

static void add_walls(walk *w, size_t deck, earshot_point p, earshot_point q, unsigned walls)
{
    size_t element[MOST_DRILLED], n = 0;
    w->route.n_walls += walls;
    if (!walls) return;
    es_route_walls(w->tree->grid, deck, p, q, element, MOST_DRILLED, &n);
    for (size_t i = 0; i < n; i++) add_element(w, element[i]);
}

static void add_slabs(walk *w, earshot_vec3 from, double to_m, unsigned slabs)
{
    size_t n;
    const es_sheet *sheet = es_geometry_sheets(w->tree->grid->site.geometry, &n);
    w->route.n_slabs += slabs;
    const double low = fmin(from.z_m, to_m), high = fmax(from.z_m, to_m);
    for (size_t i = 0; slabs && i < n; i++)
        if (sheet[i].z_m > low && sheet[i].z_m < high &&
            es_polygon_contains(sheet[i].outline, sheet[i].n_outline, flat(from), 0.0))
            add_element(w, sheet[i].element);
}

/* The stretch between a place and the cell it joins. */
static void add_joint(walk *w, earshot_vec3 place, const joint *j)
{
    const es_route_grid *g = w->tree->grid;
    w->route.length_m += j->level_m + j->upright_m;
    if (g->outdoor[j->cell]) w->route.outdoor_m += j->level_m + j->upright_m;
    add_walls(w, j->cell / g->n_cells, flat(place), flat(es_route_centre(g, j->cell)), j->walls);
}

/* One step of the tree, from `cell` back to where it was reached from. */
static size_t step_back(walk *w, size_t cell)
{
    static const unsigned char BACK[ES_STEPS] = {ES_STEP_W, ES_STEP_S,  ES_STEP_SW, ES_STEP_SE,   ES_STEP_E,
                                                 ES_STEP_N, ES_STEP_NE, ES_STEP_NW, ES_STEP_DOWN, ES_STEP_UP};
    const es_route_grid *g = w->tree->grid;
    es_step step;
    es_route_step(g, cell, BACK[w->tree->came_by[cell]], &step);
    const earshot_vec3 here = es_route_centre(g, cell), there = es_route_centre(g, step.to);
    w->route.length_m += step.length_m;
    w->route.outdoor_m += 0.5 * step.length_m * (g->outdoor[cell] + g->outdoor[step.to]);
    add_walls(w, cell / g->n_cells, flat(here), flat(there), step.walls);
    add_slabs(w, here, there.z_m, step.slabs);
    return step.to;
}

static void turn_round(es_route *r)
{
    for (size_t i = 0; i < r->n_points / 2; i++) {
        const earshot_vec3 p = r->point[i];
        r->point[i] = r->point[r->n_points - 1 - i];
        r->point[r->n_points - 1 - i] = p;
    }
    for (size_t i = 0; i < r->n_elements / 2; i++) {
        const size_t e = r->element[i];
        r->element[i] = r->element[r->n_elements - 1 - i];
        r->element[r->n_elements - 1 - i] = e;
    }
}

static void follow(walk *w, earshot_vec3 to, const joint *end)
{
    const es_route_tree *t = w->tree;
    const es_route_grid *g = t->grid;
    add_point(w, to);
    add_point(w, (earshot_vec3){to.x_m, to.y_m, es_route_centre(g, end->cell).z_m});
    add_joint(w, to, end);
    size_t cell = end->cell;
    add_point(w, es_route_centre(g, cell));
    while (t->came_by[cell] != FROM_ROOT) {
        cell = step_back(w, cell);
        add_point(w, es_route_centre(g, cell));
    }
    joint start;
    join(g, t->root, cell / g->n_cells, cell % g->n_cells, &start);
    add_joint(w, t->root, &start);
    add_point(w, (earshot_vec3){t->root.x_m, t->root.y_m, es_route_centre(g, cell).z_m});
    add_point(w, t->root);
    turn_round(&w->route);
}

earshot_status es_route_trace(const es_route_tree *tree, earshot_vec3 to, es_route *route)
{
    *route = (es_route){0};
    joint end;
    if (!isfinite(to.x_m) || !isfinite(to.y_m) || !isfinite(to.z_m) || !best_joint(tree, to, &end))
        return EARSHOT_ARGUMENT;
    walk w = {.tree = tree, .route = {.cost = tree->cost[end.cell] + end.cost}};
    follow(&w, to, &end);
    if (w.failed) {
        es_route_clear(&w.route);
        return EARSHOT_MEMORY;
    }
    *route = w.route;
    return EARSHOT_OK;
}

void es_route_clear(es_route *route)
{
    free(route->point);
    free(route->element);
    *route = (es_route){0};
}
