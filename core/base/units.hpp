#pragma once
/// Units and the field. Inside the library: yards, seconds, yards per second, radians; degrees in every table.

#include <numbers>

namespace shortedge {

inline constexpr double metres_per_yard = 0.9144;  ///< exact by definition (international yard, 1959)
inline constexpr double feet_per_yard = 3.0;

inline constexpr double field_length = 120.0;       ///< yd, end line to end line (360 ft in the rule book)
inline constexpr double field_width = 160.0 / 3.0;  ///< yd, sideline to sideline (160 ft in the rule book)

inline constexpr double pi = std::numbers::pi;
constexpr double degrees(double radians) noexcept { return radians * (180.0 / pi); }
constexpr double radians(double degrees) noexcept { return degrees * (pi / 180.0); }

}  // namespace shortedge
