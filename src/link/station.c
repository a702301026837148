/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ends of links, from the plan; losses by what a device is fixed to and by who holds it. */
#include <math.h>

#include "base/units.h"
#include "earshot/link.h"

/* Detuning and absorption by what the device is screwed to. A 915 MHz dipole lost 4.7 dB flat on plywood and 10.4 dB
 * on aluminium (Griffin, Durgin et al., IEEE AWPL 2006; from memory). A device's antenna stands off the wall in its
 * housing and loses less: 2 dB on wood, 1 dB on plaster and 3 dB on (often damp) masonry are our judgement, no source.
 */
static const double PLASTER_DB = 1.0, WOOD_DB = 2.0, MASONRY_DB = 3.0;

/* How far the antenna stands off a metal sheet inside its housing: our judgement, no source. */
static const double OFF_METAL_M = 0.010;

static const double HELD_DB = 6.0; /* planning range 3 to 8 dB, our judgement: no direct measurement was found */

/* An element parallel to a sheet, with its image: field 2 sin(2 pi h / lambda) times that of the element alone, and not
 * matched again, since a small antenna's loss resistance outweighs what radiates. Image theory (from memory); at 915
 * MHz and 8 mm it gives the 10.4 dB above. */
static double metal_db(double frequency_hz)
{
    const double phase = 2.0 * ES_PI * OFF_METAL_M * frequency_hz / ES_LIGHT_M_S;
    if (phase >= ES_PI / 6.0) return 0.0; /* the image no longer takes anything away */
    return -20.0 * log10(2.0 * sin(phase));
}

double earshot_mounting_db(earshot_fixing fixing, double frequency_hz)
{
    switch (fixing) {
    case EARSHOT_FIXING_PLASTER: return PLASTER_DB;
    case EARSHOT_FIXING_WOOD: return WOOD_DB;
    case EARSHOT_FIXING_MASONRY: return MASONRY_DB;
    case EARSHOT_FIXING_METAL: return metal_db(frequency_hz);
    case EARSHOT_FIXING_UNSTATED:
    case EARSHOT_FIXING_FREE: break;
    }
    return 0.0;
}

double earshot_body_db(earshot_kind kind)
{
    return earshot_kind_is_handheld(kind) ? HELD_DB : 0.0;
}

static double stated_or(double stated, double otherwise)
{
    return isnan(stated) ? otherwise : stated;
}

earshot_status earshot_device_station(const earshot_site *site, size_t device, double frequency_hz,
                                      earshot_station *station)
{
    const earshot_plan *plan = earshot_site_plan(site);
    if (device >= plan->n_devices || !station) return EARSHOT_ARGUMENT;
    const earshot_device *d = &plan->device[device];
    const earshot_radio *radio = earshot_site_radio(site, d->radio, frequency_hz);
    if (!radio) return EARSHOT_NO_SUCH_NAME;
    *station = (earshot_station){
        .at = earshot_site_device_at(site, device),
        .radio = radio,
        .mounting_db = stated_or(d->mounting_db, earshot_mounting_db(d->fixing, frequency_hz)),
        .body_db = stated_or(d->body_db, earshot_body_db(d->kind)),
    };
    return EARSHOT_OK;
}

earshot_status earshot_receiver_station(const earshot_site *site, size_t receiver, double frequency_hz,
                                        earshot_station *station)
{
    const earshot_plan *plan = earshot_site_plan(site);
    if (receiver >= plan->n_receivers || !station) return EARSHOT_ARGUMENT;
    const earshot_receiver *r = &plan->receiver[receiver];
    const earshot_radio *radio = earshot_site_radio(site, r->radio, frequency_hz);
    if (!radio) return EARSHOT_NO_SUCH_NAME;
    *station = (earshot_station){
        .at = earshot_site_receiver_at(site, receiver),
        .radio = radio,
        .mounting_db = stated_or(r->mounting_db, earshot_mounting_db(r->fixing, frequency_hz)),
    };
    return EARSHOT_OK;
}

earshot_status earshot_mount_station(const earshot_site *site, size_t mount, size_t receiver, double frequency_hz,
                                     earshot_station *station)
{
    const earshot_plan *plan = earshot_site_plan(site);
    if (mount >= plan->n_mounts || receiver >= plan->n_receivers || !station) return EARSHOT_ARGUMENT;
    const earshot_mount *m = &plan->mount[mount];
    const char *name = m->radio ? m->radio : plan->receiver[receiver].radio;
    const earshot_radio *radio = earshot_site_radio(site, name, frequency_hz);
    if (!radio) return EARSHOT_NO_SUCH_NAME;
    *station = (earshot_station){
        .at = earshot_site_mount_at(site, mount),
        .radio = radio,
        .mounting_db = stated_or(m->mounting_db, earshot_mounting_db(m->fixing, frequency_hz)),
    };
    return EARSHOT_OK;
}
