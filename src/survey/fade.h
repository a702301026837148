/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What one reading shows of the local mean: level in decibels of a Rice-distributed signal. */
#ifndef ES_FADE_H
#define ES_FADE_H

typedef struct es_fade {
    double mean_db;  /* average of the level in dB, over the mean power: 0 or below */
    double sigma_db; /* standard deviation of the level in dB */
} es_fade;

/* rice_k: power ratio, 0 or more. */
es_fade es_fade_of(double rice_k);

#endif
