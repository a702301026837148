/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several visits: is a level drifting, or did it drop? docs/model/visits.md */
#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdlib.h>

#include "earshot/survey.h"

static const double DAYS_A_YEAR = 365.25;
static const double PLAIN = 3.0; /* standard errors from which a change is no accident: 1 device in 700 by chance */
static const double FLAGGED_FIRST = 1000.0; /* dB: above any margin, so that what is flagged comes first */

/* The readings of one device, receiver and band that have a date and a level. */
typedef struct series {
    double *day, *level; /* [n] */
    size_t n;
} series;

typedef struct gathering {
    const earshot_calibration *c;
    earshot_visits *visits;
    double *block; /* [2 * readings] */
} gathering;

static bool counts(const earshot_calibration *c, size_t i)
{
    const earshot_reading *r = &c->readings->reading[i];
    return r->device != EARSHOT_NONE && r->day != EARSHOT_NO_DAY && !isnan(c->reading[i].measured_dbm);
}

static bool same_series(const earshot_reading *a, const earshot_reading *b)
{
    return a->device == b->device && a->receiver == b->receiver && a->frequency_hz == b->frequency_hz;
}

static bool is_first(const earshot_calibration *c, size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (counts(c, j) && same_series(&c->readings->reading[j], &c->readings->reading[i])) return false;
    return true;
}

static series gather(const gathering *g, size_t first)
{
    series s = {.day = g->block, .level = g->block + g->c->readings->n};
    for (size_t i = first; i < g->c->readings->n; i++) {
        const earshot_reading *r = &g->c->readings->reading[i];
        if (!counts(g->c, i) || !same_series(r, &g->c->readings->reading[first])) continue;
        s.day[s.n] = (double)r->day;
        s.level[s.n++] = g->c->reading[i].measured_dbm;
    }
    return s;
}

static double smallest(const series *s)
{
    double day = s->day[0];
    for (size_t i = 1; i < s->n; i++) day = fmin(day, s->day[i]);
    return day;
}

static double largest(const series *s)
{
    double day = s->day[0];
    for (size_t i = 1; i < s->n; i++) day = fmax(day, s->day[i]);
    return day;
}

static size_t count_days(const series *s)
{
    size_t n = 0;
    for (size_t i = 0; i < s->n; i++) {
        size_t j = 0;
        while (j < i && s->day[j] != s->day[i]) j++;
        n += j == i;
    }
    return n;
}

/* Mean level of one day, or of all others. */
static double mean_of_day(const series *s, double day, bool others, double *count)
{
    double sum = 0.0;
    *count = 0.0;
    for (size_t i = 0; i < s->n; i++) {
        if ((s->day[i] == day) == others) continue;
        sum += s->level[i];
        *count += 1.0;
    }
    return *count > 0.0 ? sum / *count : NAN;
}

/* Straight line over time, each reading with the noise of one; *rss of it. */
static void fit_slope(const series *s, double noise_db, earshot_trend *t, double *rss)
{
    double c0, c1, v00, v01, v11;
    gsl_fit_linear(s->day, 1, s->level, 1, s->n, &c0, &c1, &v00, &v01, &v11, rss);
    double mean = 0.0, squares = 0.0;
    for (size_t i = 0; i < s->n; i++) mean += s->day[i] / (double)s->n;
    for (size_t i = 0; i < s->n; i++) squares += (s->day[i] - mean) * (s->day[i] - mean);
    t->slope_db_year = c1 * DAYS_A_YEAR;
    t->slope_sigma_db_year = noise_db / sqrt(squares) * DAYS_A_YEAR;
}

/* The last visit against all before; *rss of two levels. */
static void fit_step(const series *s, double noise_db, earshot_trend *t, double *rss)
{
    double n_last, n_before;
    const double last = mean_of_day(s, largest(s), false, &n_last);
    const double before = mean_of_day(s, largest(s), true, &n_before);
    t->change_db = last - before;
    t->change_sigma_db = noise_db * sqrt(1.0 / n_last + 1.0 / n_before);
    *rss = 0.0;
    for (size_t i = 0; i < s->n; i++) {
        const double off = s->level[i] - (s->day[i] == largest(s) ? last : before);
        *rss += off * off;
    }
}

/* Whichever of slope and step explains the series better, if it is more than noise explains. */
static earshot_trend_flag flag_of(const earshot_trend *t, double slope_rss, double step_rss)
{
    const bool step = t->visits == 2 || step_rss < slope_rss;
    const double change = step ? t->change_db / t->change_sigma_db : t->slope_db_year / t->slope_sigma_db_year;
    if (change > PLAIN) return EARSHOT_TREND_RISING;
    if (change > -PLAIN) return EARSHOT_TREND_STEADY;
    return step ? EARSHOT_TREND_DROPPED : EARSHOT_TREND_FALLING;
}

/* Falls that are plain first, the smallest margin first among them; then what fell most against its noise. */
static double urgency_of(const earshot_trend *t)
{
    if (t->flag == EARSHOT_TREND_DROPPED || t->flag == EARSHOT_TREND_FALLING) return FLAGGED_FIRST - t->margin_db;
    return t->flag == EARSHOT_TREND_UNKNOWN ? -FLAGGED_FIRST : -t->change_db / t->change_sigma_db;
}

static double threshold_of(const earshot_calibration *c, const earshot_reading *r)
{
    const earshot_radio *radio = earshot_site_radio(c->before, c->plan->receiver[r->receiver].radio, r->frequency_hz);
    return radio ? earshot_threshold_dbm(radio, r->frequency_hz) : NAN;
}

static earshot_trend trend_of(const gathering *g, size_t first)
{
    const earshot_reading *r = &g->c->readings->reading[first];
    const series s = gather(g, first);
    double count, slope_rss = 0.0, step_rss = 0.0;
    earshot_trend t = {.device = (size_t)r->device,
                       .receiver = r->receiver,
                       .frequency_hz = r->frequency_hz,
                       .visits = count_days(&s),
                       .first_day = (long)smallest(&s),
                       .last_day = (long)largest(&s),
                       .first_dbm = mean_of_day(&s, smallest(&s), false, &count),
                       .last_dbm = mean_of_day(&s, largest(&s), false, &count),
                       .slope_db_year = NAN,
                       .slope_sigma_db_year = NAN,
                       .change_db = NAN,
                       .change_sigma_db = NAN,
                       .flag = EARSHOT_TREND_UNKNOWN};
    t.margin_db = t.last_dbm - threshold_of(g->c, r);
    if (t.visits > 1) {
        fit_slope(&s, g->visits->noise_db, &t, &slope_rss);
        fit_step(&s, g->visits->noise_db, &t, &step_rss);
        t.flag = flag_of(&t, slope_rss, step_rss);
    }
    t.urgency = urgency_of(&t);
    return t;
}

static int most_urgent(const void *a, const void *b)
{
    const earshot_trend *x = a, *y = b;
    if (x->urgency != y->urgency) return x->urgency > y->urgency ? -1 : 1;
    if (x->device != y->device) return x->device > y->device ? 1 : -1;
    if (x->receiver != y->receiver) return x->receiver > y->receiver ? 1 : -1;
    return (x->frequency_hz > y->frequency_hz) - (x->frequency_hz < y->frequency_hz);
}

static size_t count_visits(const earshot_calibration *c)
{
    size_t n = 0;
    for (size_t i = 0; i < c->readings->n; i++) {
        if (!counts(c, i)) continue;
        size_t j = 0;
        while (j < i && !(counts(c, j) && c->readings->reading[j].day == c->readings->reading[i].day)) j++;
        n += j == i;
    }
    return n;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Median of the changes: one device's battery is not the receiver's aerial. 1.2533: the median's error over the mean's,
 * sqrt(pi / 2), for normal errors. */
static void find_common(gathering *g)
{
    earshot_visits *v = g->visits;
    double *change = g->block, errors = 0.0;
    size_t n = 0;
    long last = EARSHOT_NO_DAY;
    for (size_t i = 0; i < v->n; i++) last = v->trend[i].last_day > last ? v->trend[i].last_day : last;
    for (size_t i = 0; i < v->n; i++) {
        if (v->trend[i].visits < 2 || v->trend[i].last_day != last) continue;
        errors += v->trend[i].change_sigma_db;
        change[n++] = v->trend[i].change_db;
    }
    v->common_db = v->common_sigma_db = NAN;
    if (!n) return;
    qsort(change, n, sizeof *change, by_value);
    v->common_db = (change[(n - 1) / 2] + change[n / 2]) / 2.0;
    v->common_sigma_db = 1.2533 * errors / (double)n / sqrt((double)n);
}

earshot_status earshot_visits_find(const earshot_calibration *calibration, earshot_visits *visits)
{
    if (!calibration || !visits) return EARSHOT_ARGUMENT;
    const size_t n = calibration->readings->n;
    *visits = (earshot_visits){.visits = count_visits(calibration), .noise_db = calibration->noise_db};
    gathering g = {.c = calibration, .visits = visits, .block = calloc(2 * n + 1, sizeof *g.block)};
    visits->trend = calloc(n + 1, sizeof *visits->trend);
    if (!g.block || !visits->trend) {
        free(g.block);
        earshot_visits_clear(visits);
        return EARSHOT_MEMORY;
    }
    for (size_t i = 0; i < n; i++)
        if (counts(calibration, i) && is_first(calibration, i)) visits->trend[visits->n++] = trend_of(&g, i);
    if (visits->n) qsort(visits->trend, visits->n, sizeof *visits->trend, most_urgent);
    find_common(&g);
    free(g.block);
    return EARSHOT_OK;
}

void earshot_visits_clear(earshot_visits *visits)
{
    free(visits->trend);
    *visits = (earshot_visits){0};
}
