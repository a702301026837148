/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "link/occupancy.h"

#include <math.h>

static const double SECONDS_PER_HOUR = 3600.0;

double es_aloha_throughput(double offered)
{
    return offered >= 0.0 ? offered * exp(-2.0 * offered) : NAN;
}

static double rate_hz(const es_sender *sender)
{
    return sender->messages_per_hour / SECONDS_PER_HOUR;
}

static double duty(const es_sender *sender)
{
    return rate_hz(sender) * sender->airtime_s;
}

static bool is_fine(const es_sender *sender)
{
    return sender->messages_per_hour >= 0.0 && sender->airtime_s >= 0.0 && sender->airtime_s <= SECONDS_PER_HOUR &&
           duty(sender) <= 1.0;
}

/* Sums over all senders. */
typedef struct sums {
    double rate_hz, offered;
} sums;

/* Chance that a message of one sender meets one of another. */
static double collision_of(const es_sender *sender, sums all)
{
    const double others_rate_hz = fmax(all.rate_hz - rate_hz(sender), 0.0);
    const double others_offered = fmax(all.offered - duty(sender), 0.0);
    return -expm1(-(others_rate_hz * sender->airtime_s + others_offered));
}

bool es_occupancy_of(const es_sender *sender, size_t n, es_occupancy *occupancy)
{
    sums all = {0.0, 0.0};
    for (size_t i = 0; i < n; i++) {
        if (!is_fine(&sender[i])) return false;
        all.rate_hz += rate_hz(&sender[i]);
        all.offered += duty(&sender[i]);
    }
    *occupancy = (es_occupancy){.offered = all.offered, .throughput = es_aloha_throughput(all.offered)};
    double lost_hz = 0.0;
    for (size_t i = 0; i < n; i++) {
        const double collision = collision_of(&sender[i], all);
        lost_hz += collision * rate_hz(&sender[i]);
        if (duty(&sender[i]) > occupancy->busiest_duty) {
            occupancy->busiest_duty = duty(&sender[i]);
            occupancy->busiest_sender = i;
        }
        if (rate_hz(&sender[i]) <= 0.0 || collision <= occupancy->worst_collision) continue;
        occupancy->worst_collision = collision;
        occupancy->worst_sender = i;
    }
    if (all.rate_hz > 0.0) occupancy->collision = lost_hz / all.rate_hz;
    return true;
}

/* CEPT ERC/REC 70-03, annexes 7 (alarms) and 1 (any use), as the on-line annex page for alarms and a national
 * regulation of 2015 with the same numbers state them. Where a rule offers polite access instead of a duty cycle, the
 * duty cycle is taken. National law decides. */
static const es_subband SUBBAND[] = {
    {433.05e6, 434.79e6, 10.0, 0.10, "any"},
    {433.05e6, 434.79e6, 0.0, 1.0, "any"},
    {434.04e6, 434.79e6, 10.0, 1.0, "any"},
    {868.00e6, 868.60e6, 14.0, 0.01, "any"},
    {868.60e6, 868.70e6, 10.0, 0.01, "alarms"},
    {868.70e6, 869.20e6, 14.0, 0.001, "any"},
    {869.20e6, 869.25e6, 10.0, 0.001, "social alarms"},
    {869.25e6, 869.30e6, 10.0, 0.001, "alarms"},
    {869.30e6, 869.40e6, 10.0, 0.01, "alarms"},
    {869.40e6, 869.65e6, 27.0, 0.10, "any"},
    {869.65e6, 869.70e6, 14.0, 0.10, "alarms"},
    {869.70e6, 870.00e6, 7.0, 1.0, "any"},
    {869.70e6, 870.00e6, 14.0, 0.01, "any"},
};
enum { N_SUBBANDS = sizeof SUBBAND / sizeof SUBBAND[0] };

size_t es_subbands(void)
{
    return N_SUBBANDS;
}

const es_subband *es_subband_at(size_t index)
{
    return index < N_SUBBANDS ? &SUBBAND[index] : NULL;
}

static bool is_for_alarms(const es_subband *s)
{
    return s->use[0] != 's';
}

const es_subband *es_subband_for(double frequency_hz, double erp_dbm)
{
    const es_subband *best = NULL;
    for (size_t i = 0; i < N_SUBBANDS; i++) {
        const es_subband *s = &SUBBAND[i];
        if (!(frequency_hz >= s->from_hz && frequency_hz <= s->to_hz) || !(erp_dbm <= s->erp_dbm)) continue;
        if (is_for_alarms(s) && (!best || s->duty > best->duty)) best = s;
    }
    return best;
}
