/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How busy a radio channel is: chance of collision and duty cycle. docs/model/occupancy.md */
#ifndef ES_OCCUPANCY_H
#define ES_OCCUPANCY_H

#include <stdbool.h>
#include <stddef.h>

/* Something that sends on the channel. */
typedef struct es_sender {
    double messages_per_hour; /* 0 and more */
    double airtime_s;         /* of one message, its own repetitions counted */
} es_sender;

typedef struct es_occupancy {
    double offered;         /* G: share of time, overlaps counted twice */
    double throughput;      /* S = G e^-2G for messages of equal length */
    double collision;       /* chance that a message, taken at random, meets another */
    double worst_collision; /* of the sender that has it worst */
    size_t worst_sender;
    double busiest_duty; /* share of time that the busiest sender is on air */
    size_t busiest_sender;
} es_occupancy;

/* Throughput of unslotted ALOHA: S = G e^(-2G), largest at G = 1/2 where it is 1/(2e).
 * Source   Abramson 1970, The ALOHA System, AFIPS Fall Joint Computer Conference; as in textbooks of computer
 *          networks; from memory.
 * @param offered  G, 0 and more  @return messages per message time that get through; NAN out of range. */
double es_aloha_throughput(double offered);

/* n senders on one channel, each sending at random moments (Poisson), independently. A message of length t survives if
 * nobody else starts from t_other before it to its end: chance exp(-sum rate_other (t + t_other)); with equal lengths
 * and many senders that is ALOHA's e^(-2G). A sender does not collide with itself.
 * @return false: a rate or airtime out of range (NaN, below 0, airtime above 3600 s, more on air than there is time).
 */
bool es_occupancy_of(const es_sender *sender, size_t n, es_occupancy *occupancy);

/* One part of a licence-exempt band: what may be radiated there, and how often. */
typedef struct es_subband {
    double from_hz, to_hz;
    double erp_dbm;  /* at most */
    double duty;     /* share of time at most; 1: no limit */
    const char *use; /* "alarms", "social alarms" or "any" */
} es_subband;

size_t es_subbands(void);
const es_subband *es_subband_at(size_t index);
/* The rule that lets a transmitter send longest: frequency inside, power allowed. NULL: none is known that allows it.
 * Social alarms are left out. */
const es_subband *es_subband_for(double frequency_hz, double erp_dbm);

/* Share of messages that may meet another before a warning is given: our judgement, no source. */
#define ES_COLLISION_WARNING 0.05

#endif
