//! takeoff
