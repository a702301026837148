/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a cable runs: the cheapest way along walls, across rooms, through drilled walls and slabs, and outdoors.
 *
 * Each storey has a grid of cells at the height where cables are run, just below the ceiling; a step goes to one of the
 * eight neighbours, or straight up or down. docs/model/cable.md says what counts as what. */
#ifndef ES_ROUTE_H
#define ES_ROUTE_H

#include "geometry/geometry.h"

/* What an element is to a cable at its height. */
typedef enum es_barrier {
    ES_BARRIER_NONE,  /* it is not there: an open doorway */
    ES_BARRIER_DRILL, /* a hole must be drilled */
    ES_BARRIER_SHUT   /* no way through: a pane of glass, the leaf of a door */
} es_barrier;

/* All are costs in the plan's unit; a length costs per metre. */
typedef struct es_route_prices {
    double along_wall, across_room, outdoor;
    double drilled_wall, drilled_slab;
} es_route_prices;

typedef struct es_deck {
    double level_m, height_m;
} es_deck;

typedef struct es_route_site {
    const es_geometry *geometry;
    const unsigned char *barrier; /* [n_elements] es_barrier */
    size_t n_elements;
    const es_deck *deck; /* [n_decks] by rising level */
    size_t n_decks;
    earshot_point low, high; /* of all that is to be reached; 1.5 m around it are added */
    es_route_prices prices;
    double cell_m;    /* wanted; larger when there would be more than max_cells */
    size_t max_cells; /* of all storeys together */
} es_route_site;

typedef struct es_route_grid es_route_grid;
typedef struct es_route_tree es_route_tree;

/* EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY. The geometry must outlive the grid. */
earshot_status es_route_grid_new(const es_route_site *site, es_route_grid **grid);
void es_route_grid_free(es_route_grid *grid);
double es_route_grid_cell_m(const es_route_grid *grid);

/* The cheapest routes from one place to everywhere. Trees on one grid may be made by several threads. */
earshot_status es_route_tree_new(const es_route_grid *grid, earshot_vec3 from, es_route_tree **tree);
void es_route_tree_free(es_route_tree *tree);

/* @return cost of the route to a place; INFINITY if there is none. */
double es_route_cost(const es_route_tree *tree, earshot_vec3 to);

typedef struct es_route {
    double cost, length_m, outdoor_m;
    unsigned n_walls, n_slabs; /* drilled */
    size_t *element;           /* [n_elements] drilled, from the tree's root on */
    size_t n_elements;
    earshot_vec3 *point; /* [n_points] corners of the route, from the tree's root on */
    size_t n_points;
} es_route;

/* EARSHOT_OK; EARSHOT_ARGUMENT (no route); EARSHOT_MEMORY. Free with es_route_clear; zeroed on failure. */
earshot_status es_route_trace(const es_route_tree *tree, earshot_vec3 to, es_route *route);
void es_route_clear(es_route *route);

#endif
