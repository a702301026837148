/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings that do not fit: left-out predictions, and how far each place is believed. */
#ifndef ES_ROBUST_H
#define ES_ROBUST_H

#include "survey/residual.h"

/* What all other places foretell of the readings at one, less what was read. */
typedef struct es_left_out {
    double residual_db; /* read - foretold */
    double sigma_db; /* standard deviation of that, fading and noise of a sound reading included; INFINITY: the others
                        say nothing of it */
} es_left_out;

/* left[solution->n]. sound_variance[n]: of fading at the place, before any of it was distrusted. */
earshot_status es_leave_out(const es_solution *solution, const es_observation *row, const double *sound_variance,
                            es_left_out *left);

/* Probability that a reading with this left-out residual is sound: one in twenty places is wild, by 20 dB more
 * (contaminated normal). */
double es_trust(double residual_db, double sigma_db);
/* Variance that counts for a place believed so far. */
double es_distrusted(double sound_variance, double trust);

#endif
