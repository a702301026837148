/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dependable margins of all links that a placement can use, the worst of all scenes. */
#ifndef ES_MATRIX_H
#define ES_MATRIX_H

#include "earshot/place.h"

typedef struct es_matrix {
    size_t n_spots, n_devices;
    /* Each [n_spots][...], row: who hears; -INFINITY: no link. */
    double *direct_db; /* [n_devices] by a receiver */
    double *heard_db;  /* [n_devices] by a repeater */
    double *up_db;     /* [n_spots] repeaters, by a receiver */
    double *relay_db;  /* [n_spots] repeaters, by a repeater; NULL when no radio allows more than one in a row */
    size_t n_links;    /* computed, all scenes */
} es_matrix;

/* `receiver`: of the plan, whose radio is lent to mounts and points. Free with es_matrix_clear; zeroed on failure. */
earshot_status es_matrix_fill(const earshot_placement *placement, size_t receiver, const earshot_watch *watch,
                              es_matrix *matrix, earshot_error *error);
void es_matrix_clear(es_matrix *matrix);

#endif
