/* SPDX-License-Identifier: MIT */
#include "stage/house.h"

#include <math.h>

double
house_loss_db(double metres, double critical_m)
{
    return -10 * log10(1 / (metres * metres) + 1 / (critical_m * critical_m));
}

double
house_needed_db(const struct house *house)
{
    return house_loss_db(house->talker_to_listener_m, house->critical_m) -
           house_loss_db(house->equivalent_m, house->critical_m);
}

double
house_potential_db(const struct house *house, double margin_db)
{
    return house_loss_db(house->talker_to_listener_m, house->critical_m) +
           house_loss_db(house->microphone_to_loudspeaker_m, house->critical_m) -
           house_loss_db(house->loudspeaker_to_listener_m, house->critical_m) -
           house_loss_db(house->talker_to_microphone_m, house->critical_m) -
           10 * log10(house->open_microphones) - margin_db;
}
