// SPDX-License-Identifier: MIT
"use strict";
