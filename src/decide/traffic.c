/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "decide/traffic.h"

#include <math.h>
#include <stdlib.h>

#include "decide/spots.h"
#include "link/occupancy.h"

/* What is taken where a radio states nothing: common practice, no source. A message is sent three times, 50 ms each. */
static const double USUAL_AIRTIME_S = 0.15;
static const double USUAL_REPORTS_PER_HOUR = 3.0; /* that it is still there */

/* Messages an hour besides those, in a busy hour: common practice, no source. */
static double usual_events_per_hour(earshot_kind kind)
{
    switch (kind) {
    case EARSHOT_KIND_MOVEMENT: return 20.0;
    case EARSHOT_KIND_CONTACT: return 10.0;
    case EARSHOT_KIND_KEYPAD:
    case EARSHOT_KIND_FOB: return 2.0;
    default: return 0.0;
    }
}

/* All that sends: devices by radio, then repeaters. */
typedef struct senders {
    es_sender *sender;
    long *device; /* which, or EARSHOT_NONE */
    const char **name;
    const earshot_radio **radio;
    size_t n;
    bool assumed;
} senders;

static es_sender device_sender(const earshot_placement *p, size_t device, const earshot_radio *radio, bool *assumed)
{
    const earshot_kind kind = p->plan->device[device].kind;
    *assumed = *assumed || isnan(radio->messages_per_hour) || isnan(radio->airtime_s);
    const double usual = USUAL_REPORTS_PER_HOUR + usual_events_per_hour(kind);
    return (es_sender){.messages_per_hour = isnan(radio->messages_per_hour) ? usual : radio->messages_per_hour,
                       .airtime_s = isnan(radio->airtime_s) ? USUAL_AIRTIME_S : radio->airtime_s};
}

static void add(senders *s, es_sender sender, long device, const char *name, const earshot_radio *radio)
{
    s->sender[s->n] = sender;
    s->device[s->n] = device;
    s->name[s->n] = name;
    s->radio[s->n++] = radio;
}

/* The repeater at a spot of the choice, or NULL. */
static const earshot_repeater *repeater_at(const earshot_choice *choice, long spot)
{
    for (size_t i = 0; i < choice->n_repeaters; i++)
        if ((long)choice->repeater[i].spot == spot) return &choice->repeater[i];
    return NULL;
}

/* A message goes through its repeater and all those on the way to the receiver; each sends it again. */
static void pass_on(const earshot_choice *choice, long spot, es_sender sender, double *messages, double *airtime)
{
    const earshot_repeater *at = repeater_at(choice, spot);
    for (size_t hops = 0; at && hops < choice->n_repeaters; hops++) {
        messages[at - choice->repeater] += sender.messages_per_hour;
        airtime[at - choice->repeater] += sender.messages_per_hour * sender.airtime_s;
        at = repeater_at(choice, at->reports_to);
    }
}

static void list_senders(const earshot_placement *p, const earshot_choice *choice, size_t receiver, double *messages,
                         double *airtime, senders *s)
{
    for (size_t d = 0; d < choice->n_devices; d++) {
        earshot_station station;
        if (choice->device[d].verdict == EARSHOT_VERDICT_WIRE) continue;
        if (earshot_device_station(p->site[0], d, p->frequency_hz, &station)) continue;
        const es_sender sender = device_sender(p, d, station.radio, &s->assumed);
        if (isnan(station.radio->erp_dbm)) continue;
        add(s, sender, (long)d, p->plan->device[d].name, station.radio);
        pass_on(choice, choice->device[d].spot, sender, messages, airtime);
    }
    for (size_t i = 0; i < choice->n_repeaters; i++) {
        const size_t spot = choice->repeater[i].spot;
        const es_sender sender = {messages[i], messages[i] > 0.0 ? airtime[i] / messages[i] : 0.0};
        add(s, sender, EARSHOT_NONE, p->spot[spot].name, es_spot_repeater(p, spot, receiver).radio);
    }
}

static void fill_load(const earshot_placement *p, const senders *s, es_occupancy o, earshot_load *load)
{
    load->offered = o.offered;
    load->collision = o.collision;
    load->worst_collision = o.worst_collision;
    load->crowded = o.collision > ES_COLLISION_WARNING;
    load->assumed = s->assumed;
    if (!s->n) return;
    load->worst_device = s->device[o.worst_sender];
    load->busiest = s->name[o.busiest_sender];
    load->busiest_duty = o.busiest_duty;
    const es_subband *rule = es_subband_for(p->frequency_hz, s->radio[o.busiest_sender]->erp_dbm);
    if (rule) load->duty_limit = rule->duty;
    load->too_often = rule && o.busiest_duty > rule->duty;
}

/* Messages spread evenly over the channels that the receiver listens on. */
static void spread(senders *s, const earshot_radio *receiver, es_occupancy *o)
{
    const double channels = receiver && receiver->channels > 1 ? (double)receiver->channels : 1.0;
    const double busiest = o->busiest_duty;
    if (channels <= 1.0) return;
    for (size_t i = 0; i < s->n; i++) s->sender[i].messages_per_hour /= channels;
    es_occupancy_of(s->sender, s->n, o);
    o->busiest_duty = busiest; /* on air is on air, on whichever channel */
}

earshot_status es_traffic_of(const earshot_placement *p, const earshot_choice *choice, size_t receiver,
                             earshot_load *load)
{
    const size_t room = choice->n_devices + choice->n_repeaters + 1;
    senders s = {.sender = calloc(room, sizeof *s.sender),
                 .device = calloc(room, sizeof *s.device),
                 .name = calloc(room, sizeof *s.name),
                 .radio = calloc(room, sizeof *s.radio)};
    double *messages = calloc(room, sizeof *messages), *airtime = calloc(room, sizeof *airtime);
    const bool whole = s.sender && s.device && s.name && s.radio && messages && airtime;
    *load = (earshot_load){.worst_device = EARSHOT_NONE, .duty_limit = NAN};
    if (whole) {
        es_occupancy o = {0};
        list_senders(p, choice, receiver, messages, airtime, &s);
        if (es_occupancy_of(s.sender, s.n, &o)) {
            spread(&s, es_spot_receiver(p, choice->spot, receiver).radio, &o);
            fill_load(p, &s, o, load);
        } else {
            *load = (earshot_load){.offered = 1.0,
                                   .collision = 1.0,
                                   .worst_collision = 1.0,
                                   .worst_device = EARSHOT_NONE,
                                   .duty_limit = NAN,
                                   .crowded = true};
        }
    }
    free(s.sender);
    free(s.device);
    free(s.name);
    free(s.radio);
    free(messages);
    free(airtime);
    return whole ? EARSHOT_OK : EARSHOT_MEMORY;
}
