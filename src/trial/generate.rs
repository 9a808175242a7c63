//! large vehicles
